"""The shipped finishes that suit a design."""

from benchmate.craft.design import Design
from benchmate.design_files.load import DesignFile, load
from benchmate.design_files.shelf import shipped
from benchmate.files.tree import BadFile, read_text


def finishes_for(design: Design) -> list[DesignFile]:
    """The finishes of the shipped designs of its family, each once; those of designs with as many strings first."""
    found: dict[str, tuple[int, DesignFile]] = {}
    for path in shipped():
        try:
            # Most designs need not be read in full.
            if "\nfinish:" not in read_text(path):
                continue
            file = load(path)
        except BadFile:
            # One that somebody has damaged must not keep the others away.
            continue
        if file.finish is None or file.design.family is not design.family:
            continue
        apart = abs(len(file.design.strings) - len(design.strings))
        known = found.get(file.finish.path)
        if known is None or apart < known[0]:
            found[file.finish.path] = apart, file.finish
    return [finish for _, finish in sorted(found.values(), key=lambda each: (each[0], each[1].design.title))]
