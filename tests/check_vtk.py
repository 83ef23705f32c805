"""Opens a file of image data or of a surface with the PyPI packages `vtk` and `pyvista` and compares it with what was meant to be written, value by value.

Usage: python3 check_vtk.py FILE.vti EXPECTED.json

EXPECTED.json: {"dimensions": [cells along x, y, z], "origin": [...], "spacing": [...],
                "notes": {NAME: words or a number},
                "arrays": {NAME: {"components": n, "kind": "float" or "unsigned char", "values": [...]}}}

or:    python3 check_vtk.py FILE.vtp EXPECTED.json

EXPECTED.json: {"points": [[x, y, z], ...], "pieces": [[indices of points], ...]}

or:    python3 check_vtk.py "SERIES-*.vtp" EXPECTED.json

EXPECTED.json: [{"time": s, "file": name in that folder, "points": [[x, y, z], ...], "values": {NAME: [a number per point]}, "notes": {...}}, ...]

Exit code 0 when everything agrees; 1 with a line that says what differs otherwise.
"""

import glob
import json
import os
import sys

import numpy
import vtk
from vtk.util.numpy_support import vtk_to_numpy

from vtk_reader import compare_with_pyvista, fail, notes, read


def compare_surface(path, expected):
    """Compares a surface with the expectation, corner by corner."""
    surface = read(vtk.vtkXMLPolyDataReader(), path)
    points = vtk_to_numpy(surface.GetPoints().GetData())
    wanted = numpy.array(expected["points"], dtype=points.dtype)
    if not numpy.array_equal(points, wanted):
        fail("points")
    pieces = []
    for number in range(surface.GetNumberOfCells()):
        cell = surface.GetCell(number)
        if cell.GetClassName() not in ("vtkPolygon", "vtkTriangle", "vtkQuad"):
            fail(f"piece {number} is a {cell.GetClassName()}")
        pieces.append([cell.GetPointId(corner) for corner in range(cell.GetNumberOfPoints())])
    if pieces != expected["pieces"]:
        fail("pieces")
    second = compare_with_pyvista(path, {})
    if not numpy.array_equal(second.points, wanted):
        fail("pyvista reads other points")
    flat, faces, place = second.faces.tolist(), [], 0
    while place < len(flat):
        faces.append(flat[place + 1 : place + 1 + flat[place]])
        place += 1 + flat[place]
    if faces != expected["pieces"]:
        fail("pyvista reads other pieces")
    print(f"agrees: {len(pieces)} pieces between {len(points)} points")


def compare_points(what, points, values, moment):
    """Compares points and their values with those of a moment."""
    wanted = numpy.array(moment["points"], dtype=numpy.float32).reshape(-1, 3)
    if not numpy.array_equal(points, wanted):
        fail(f"{what}: points at {moment['time']}")
    if sorted(values) != sorted(moment["values"]):
        fail(f"{what}: arrays {sorted(values)}")
    for name, numbers in moment["values"].items():
        if not numpy.array_equal(values[name], numpy.array(numbers, dtype=numpy.float32)):
            fail(f"{what}: {name} at {moment['time']}")


def announced_times(reader):
    """The time steps that a reader announces for the file that it has read."""
    return reader.GetOutputInformation(0).Get(vtk.vtkStreamingDemandDrivenPipeline.TIME_STEPS())


def compare_series(pattern, expected):
    """Compares a series of numbered files of points with the expectation: in the order of their names, with the time that the reader announces for each."""
    paths = sorted(glob.glob(pattern))
    if [os.path.basename(path) for path in paths] != [moment["file"] for moment in expected]:
        fail(f"files {paths}")
    for path, moment in zip(paths, expected):
        reader = vtk.vtkXMLPolyDataReader()
        cloud = read(reader, path)
        if announced_times(reader) != (moment["time"],):
            fail(f"times {announced_times(reader)} in {moment['file']}, expected {moment['time']}")
        if cloud.GetNumberOfVerts() != len(moment["points"]):
            fail(f"vtk: {cloud.GetNumberOfVerts()} points are drawn at {moment['time']}")
        if notes(cloud) != moment["notes"]:
            fail(f"notes {notes(cloud)}, expected {moment['notes']}")
        data = cloud.GetPointData()
        values = {data.GetArrayName(i): vtk_to_numpy(data.GetArray(i)) for i in range(data.GetNumberOfArrays())}
        compare_points("vtk", vtk_to_numpy(cloud.GetPoints().GetData()), values, moment)
        found = compare_with_pyvista(path, {}, moment["notes"])
        compare_points("pyvista", found.points, {name: found.point_data[name] for name in found.point_data.keys()}, moment)
    print(f"agrees: {len(expected)} moments")


def main():
    """Compares the file with the expectation."""
    path, expected_path = sys.argv[1:]
    with open(expected_path, encoding="utf-8") as file:
        expected = json.load(file)
    if "*" in path:
        compare_series(path, expected)
        return
    if path.endswith(".vtp"):
        compare_surface(path, expected)
        return
    reader = vtk.vtkXMLImageDataReader()
    image = read(reader, path)
    if "TimeValue" in expected["notes"] and announced_times(reader) != (expected["notes"]["TimeValue"],):
        fail(f"times {announced_times(reader)}, expected {expected['notes']['TimeValue']}")

    points = [n + 1 for n in expected["dimensions"]]
    if list(image.GetDimensions()) != points:
        fail(f"points {image.GetDimensions()}, expected {points}")
    cell = max(expected["spacing"])
    for what, got in (("origin", image.GetOrigin()), ("spacing", image.GetSpacing())):
        # The format of the writer keeps these two in single precision.
        if not numpy.allclose(got, expected[what], rtol=2e-7, atol=1e-7 * cell):
            fail(f"{what} {got}, expected {expected[what]}")

    if image.GetPointData().GetNumberOfArrays() != 0:
        fail("there are arrays on points")
    data = image.GetCellData()
    names = sorted(data.GetArrayName(i) for i in range(data.GetNumberOfArrays()))
    if names != sorted(expected["arrays"]):
        fail(f"arrays {names}, expected {sorted(expected['arrays'])}")
    if notes(image) != expected["notes"]:
        fail(f"notes {notes(image)}, expected {expected['notes']}")
    read_values = {}
    for name, array in expected["arrays"].items():
        got = data.GetArray(name)
        if got.GetNumberOfComponents() != array["components"]:
            fail(f"{name}: {got.GetNumberOfComponents()} components")
        if got.GetDataTypeAsString() != array["kind"]:
            fail(f"{name}: stored as {got.GetDataTypeAsString()}")
        values = vtk_to_numpy(got).ravel()
        wanted = numpy.array(array["values"], dtype=values.dtype)
        if not numpy.array_equal(values, wanted):
            count = numpy.count_nonzero(values != wanted) if values.shape == wanted.shape else "all"
            fail(f"{name}: {count} of {wanted.size} values")
        read_values[name] = wanted.reshape(-1, 3) if array["components"] == 3 else wanted
    second = compare_with_pyvista(path, read_values, expected["notes"])
    if list(second.dimensions) != points:
        fail(f"pyvista finds {second.dimensions} points, expected {points}")
    print(f"agrees: {len(names)} arrays on {points} points")


if __name__ == "__main__":
    main()
