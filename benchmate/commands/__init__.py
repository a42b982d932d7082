"""The commands, one module each.

A command's module holds its `NAME`, what it `SAYS` of itself in the list of commands, `arguments`, which adds what it
takes to its parser, and `run`, which does it and answers the exit status. It is imported for the list alone, so `run`
imports what it needs inside. A file at fault and a store that cannot be used may be raised: `cli` says so and ends.
"""
