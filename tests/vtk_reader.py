"""What the checkers beside it share: how the readers of the PyPI package `vtk` are asked, and how a checker ends."""

import sys


def fail(message):
    """Says what differs and ends."""
    print(f"differs: {message}")
    sys.exit(1)


def read(reader, path):
    """What a reader finds in a file; any complaint of it is a difference."""
    complaints = []
    reader.AddObserver("ErrorEvent", lambda *_: complaints.append("error"))
    reader.AddObserver("WarningEvent", lambda *_: complaints.append("warning"))
    reader.SetFileName(path)
    reader.Update()
    if complaints:
        fail(f"the reader reported {complaints}")
    return reader.GetOutput()
