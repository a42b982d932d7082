"""The help pages, shipped as plain text, and how they are laid out for a width. The command and the bench read them."""
