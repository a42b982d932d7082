"""The error for a picture that cannot be charted."""


class BadImage(ValueError):
    """A file that cannot be charted. The message is one line and quotes nothing from the file."""


DAMAGED = "this picture is damaged or incomplete: save or copy it again"
