"""The commands, one module each.

A command's module has a `NAME`, a `SUMMARY` for the list of commands, `add_arguments`, which fills its parser, and
`run`, which does the work and returns the exit status. The list of commands imports every module, so `run` imports what
it needs inside. `run` may raise BadFile and StoreError: `cli` prints them and exits.
"""
