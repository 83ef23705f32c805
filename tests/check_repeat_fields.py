"""Opens the files of a solved repeat with the PyPI packages `vtk` and `pyvista` and checks what physics and the package's own filters say about them.

Usage: python3 check_repeat_fields.py MEAN.vti PLATE.vtp EXPECTED.json

EXPECTED.json: {"face_velocity": m/s, "extent": [along y, along z] in m, "thickness": m,
                "free_area_ratio": open share of both faces, "wall_area": m2 of all walls between the faces,
                "wall_tolerance": relative}

* each open plane across the flow lets the same mean velocity pass (within 1 %),
* vorticity and Q are those of the package's gradient filter where no wall is near (within 1e-3 of their largest value),
* helicity is velocity times vorticity, turbulence intensity is no less than zero,
* the faces have the area that they should have (within 0.1 %), and the walls (within the tolerance given),
* every piece of wall has air and solid of the fields within a cell, on the two sides that its corners tell.

Exit code 0 when everything agrees; 1 with a line that says what differs otherwise.
"""

import json
import sys

import numpy
import vtk
from vtk.util.numpy_support import vtk_to_numpy

from vtk_reader import compare_with_pyvista, fail, notes, read


def filter_gradients(velocity, cells, spacing):
    """Vorticity and Q of the package's gradient filter with the cells' centres as points."""
    image = vtk.vtkImageData()
    image.SetDimensions(*cells)
    image.SetSpacing(*spacing)
    array = vtk.vtkFloatArray()
    array.SetName("velocity")
    array.SetNumberOfComponents(3)
    array.SetNumberOfTuples(len(velocity))
    vtk_to_numpy(array)[:] = velocity
    image.GetPointData().SetVectors(array)
    gradient = vtk.vtkGradientFilter()
    gradient.SetInputData(image)
    gradient.SetInputScalars(vtk.vtkDataObject.FIELD_ASSOCIATION_POINTS, "velocity")
    gradient.ComputeVorticityOn()
    gradient.ComputeQCriterionOn()
    gradient.Update()
    data = gradient.GetOutput().GetPointData()
    return vtk_to_numpy(data.GetArray("Vorticity")), vtk_to_numpy(data.GetArray("Q-criterion"))


def check_fields(image, expected):
    """Checks the mean fields; gives the solid cells as an array [z, y, x]."""
    cells = [n - 1 for n in image.GetDimensions()]
    spacing = image.GetSpacing()
    data = image.GetCellData()
    array = {data.GetArrayName(i): vtk_to_numpy(data.GetArray(i)) for i in range(data.GetNumberOfArrays())}
    shape = cells[::-1]
    solid = array["solid"].reshape(shape) != 0
    velocity = array["velocity_m_per_s"]

    flow = velocity[:, 0].reshape(shape).mean(axis=(0, 1))
    is_open = ~solid.any(axis=(0, 1)) & (numpy.arange(cells[0]) < cells[0] - 2)
    worst = numpy.abs(flow[is_open] / expected["face_velocity"] - 1).max()
    if worst > 0.01:
        fail(f"mean velocity is off by {worst:.4f} of {expected['face_velocity']} m/s")

    vorticity, q_criterion = filter_gradients(velocity, cells, spacing)
    near = solid.copy()
    for axis in range(3):
        near |= numpy.roll(solid, 1, axis) | numpy.roll(solid, -1, axis)
    for axis in range(3):
        ends = [slice(None)] * 3
        for end in (0, -1):
            ends[axis] = end
            near[tuple(ends)] = True
    free = ~near.ravel()
    if free.sum() < 1000:
        fail(f"only {free.sum()} cells are free of walls")
    for name, own in (("vorticity_per_s", vorticity), ("q_criterion_per_s2", q_criterion)):
        off = numpy.abs(array[name][free] - own[free]).max() / numpy.abs(own[free]).max()
        if not off < 1e-3:
            fail(f"{name}: off by {off:.2e} of its largest value")
    product = (velocity * array["vorticity_per_s"]).sum(axis=1)
    off = numpy.abs(array["helicity_m_per_s2"] - product).max() / numpy.abs(product).max()
    if not off < 1e-5:
        fail(f"helicity_m_per_s2: off by {off:.2e}")
    if not array["turbulence_intensity"].min() >= 0:
        fail("turbulence_intensity below zero")
    return solid


def check_plate(surface, image, solid, expected):
    """Checks areas and places of the surface."""
    thickness = expected["thickness"]
    sizes = vtk.vtkCellSizeFilter()
    sizes.SetInputData(surface)
    sizes.Update()
    area = vtk_to_numpy(sizes.GetOutput().GetCellData().GetArray("Area"))
    points = vtk_to_numpy(surface.GetPoints().GetData()).astype(float)
    corners = []
    for number in range(surface.GetNumberOfCells()):
        ids = surface.GetCell(number).GetPointIds()
        corners.append(points[[ids.GetId(i) for i in range(ids.GetNumberOfIds())]])
    depths = numpy.array([[piece[:, 0].min(), piece[:, 0].max()] for piece in corners])
    closed = (1 - expected["free_area_ratio"]) * expected["extent"][0] * expected["extent"][1]
    is_face = depths[:, 1] - depths[:, 0] < 1e-6 * thickness
    for depth in (0.0, thickness):
        here = is_face & (numpy.abs(depths[:, 0] - depth) < 1e-6 * thickness)
        if not abs(area[here].sum() / closed - 1) < 1e-3:
            fail(f"the face at {depth} m has {area[here].sum()} m2, expected {closed}")
    walls = area[~is_face].sum()
    if not abs(walls / expected["wall_area"] - 1) < expected["wall_tolerance"]:
        fail(f"the walls have {walls} m2, expected {expected['wall_area']}")

    origin, spacing = numpy.array(image.GetOrigin()), numpy.array(image.GetSpacing())
    count = numpy.array(solid.shape[::-1])

    def is_solid(place):
        cell = numpy.floor((place - origin) / spacing).astype(int) % count
        return solid[cell[2], cell[1], cell[0]]

    missed = 0
    for piece in (piece for piece, face in zip(corners, is_face) if not face):
        middle = piece.mean(axis=0)
        normal = numpy.cross(piece[1] - piece[0], piece[2] - piece[0])
        length = numpy.linalg.norm(normal)
        if length == 0:
            continue
        step = normal / length * spacing
        # Nearer to an edge of the plate than a cell, or in a corner of a hole, the cell beyond may be something else.
        sides = {is_solid(middle + step), is_solid(middle - step)}
        missed += sides != {True, False}
    share = missed / max(1, (~is_face).sum())
    if share > 0.2:
        fail(f"{share:.2f} of the walls do not part air and solid of the fields")
    print(f"agrees: {len(corners)} pieces, {share:.3f} of the walls in corners")


def main():
    """Checks both files."""
    mean, plate, expectation = sys.argv[1:]
    with open(expectation, encoding="utf-8") as file:
        expected = json.load(file)
    image = read(vtk.vtkXMLImageDataReader(), mean)
    surface = read(vtk.vtkXMLPolyDataReader(), plate)
    data = image.GetCellData()
    arrays = {data.GetArrayName(i): vtk_to_numpy(data.GetArray(i)) for i in range(data.GetNumberOfArrays())}
    compare_with_pyvista(mean, arrays, notes(image))
    if not numpy.array_equal(compare_with_pyvista(plate, {}).points, vtk_to_numpy(surface.GetPoints().GetData())):
        fail("pyvista reads other points of the surface")
    solid = check_fields(image, expected)
    check_plate(surface, image, solid, expected)


if __name__ == "__main__":
    main()
