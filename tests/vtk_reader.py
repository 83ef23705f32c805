"""What the checkers beside it share: how the readers of the PyPI packages `vtk` and `pyvista` are asked, and how a checker ends."""

import sys

import numpy


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


def notes(data):
    """What a file says of the whole field: words and numbers by name."""
    found = {}
    field = data.GetFieldData()
    for index in range(field.GetNumberOfArrays()):
        array = field.GetAbstractArray(index)
        found[array.GetName()] = array.GetValue(0)
    return found


def compare_with_pyvista(path, arrays, said=None):
    """Opens the file a second time, by `pyvista`: the same cell arrays, value by value, and the same notes. Gives what it found."""
    import pyvista

    found = pyvista.read(path)
    if sorted(found.cell_data.keys()) != sorted(arrays):
        fail(f"pyvista finds the arrays {sorted(found.cell_data.keys())}, expected {sorted(arrays)}")
    for name, values in arrays.items():
        got = numpy.asarray(found.cell_data[name])
        if got.shape != values.shape or got.dtype != values.dtype or not numpy.array_equal(got, values, equal_nan=True):
            fail(f"{name}: pyvista reads other values")
    if said is not None:
        got = {name: found.field_data[name][0] for name in found.field_data.keys()}
        if got != said:
            fail(f"pyvista finds the notes {got}, expected {said}")
    return found
