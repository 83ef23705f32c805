"""Opens `mean.vti` and `last.vti` of a fan view with the PyPI packages `vtk` and `pyvista` and checks what physics says of them.

Usage: python3 check_face_field.py FOLDER_OF_THE_RUN

* both packages read the same values,
* the arrays of single components are the components of the velocity,
* vorticity and Q are those of the gradient in cylindrical coordinates by numpy's differences, where no wall is near (within 1e-3 of their largest value),
* helicity is velocity times vorticity,
* the mean axial speed in the bore is the one that the run was made at (within 2 %: the layer at the wall is cut by cells),
* walls stand still.

Exit code 0 when everything agrees; 1 with a line that says what differs otherwise.
"""

import json
import os
import sys

import numpy
import vtk
from vtk.util.numpy_support import vtk_to_numpy

import vtk_reader
from vtk_reader import fail


def gradients(velocity, radius, cell):
    """Vorticity and Q of a flow that is the same all around its axis; `velocity` along, away from and about it, rows outwards."""
    along, outwards, about = (velocity[..., i].astype(float) for i in range(3))
    d_along = lambda field: numpy.gradient(field, cell, axis=1)
    d_out = lambda field: numpy.gradient(field, cell, axis=0)
    r = radius[:, None]
    tensor = numpy.zeros(along.shape + (3, 3))
    for row, field in enumerate((along, outwards, about)):
        tensor[..., row, 0], tensor[..., row, 1] = d_along(field), d_out(field)
    tensor[..., 1, 2], tensor[..., 2, 2] = -about / r, outwards / r
    rotation = (tensor - numpy.swapaxes(tensor, -1, -2)) / 2
    strain = (tensor + numpy.swapaxes(tensor, -1, -2)) / 2
    q_criterion = ((rotation**2).sum(axis=(-1, -2)) - (strain**2).sum(axis=(-1, -2))) / 2
    vorticity = numpy.stack(
        [
            tensor[..., 2, 1] - tensor[..., 1, 2],
            tensor[..., 0, 2] - tensor[..., 2, 0],
            tensor[..., 1, 0] - tensor[..., 0, 1],
        ],
        axis=-1,
    )
    return vorticity, q_criterion


def check(path, run, is_mean):
    """Checks one file."""
    image = vtk_reader.read(vtk.vtkXMLImageDataReader(), path)
    data = image.GetCellData()
    flat = {data.GetArrayName(i): vtk_to_numpy(data.GetArray(i)) for i in range(data.GetNumberOfArrays())}
    said = vtk_reader.notes(image)
    vtk_reader.compare_with_pyvista(path, flat, said)
    if said["face_velocity_m_per_s"] != run["face_velocity_m_per_s"] or said["view"] != run["view"]:
        fail(f"notes {said}")
    if ("turbulence_intensity" in flat) != is_mean:
        fail(f"{path}: turbulence belongs to means")
    columns, rows = (n - 1 for n in image.GetDimensions()[:2])
    array = {name: values.reshape((rows, columns) + values.shape[1:]) for name, values in flat.items()}
    velocity, solid = array["velocity_m_per_s"], array["solid"] == 1
    for axis, name in enumerate(("axial", "radial", "swirl")):
        if not numpy.array_equal(velocity[..., axis], array[f"{name}_velocity_m_per_s"]):
            fail(f"{name} velocity is no component")
    if numpy.any(velocity[solid]) or numpy.any(array["vorticity_per_s"][solid]):
        fail("walls move")
    cell = image.GetSpacing()[0]
    radius = image.GetOrigin()[1] + cell * (numpy.arange(rows) + 0.5)
    vorticity, q_criterion = gradients(velocity, radius, cell)
    free = ~solid
    free[:1], free[-1:], free[:, :1], free[:, -1:] = False, False, False, False
    for shift in ((0, 1), (0, -1), (1, 0), (-1, 0)):
        free &= numpy.roll(~solid, shift, (0, 1))
    for name, own in (("vorticity_per_s", vorticity), ("q_criterion_per_s2", q_criterion)):
        off = numpy.abs(array[name] - own)[free].max() / numpy.abs(own[free]).max()
        if not off < 1e-3:
            fail(f"{name}: off by {off:.2e} of its largest value")
    product = (velocity.astype(float) * array["vorticity_per_s"]).sum(axis=-1)
    off = numpy.abs(array["helicity_m_per_s2"] - product).max() / numpy.abs(product).max()
    if not off < 1e-5:
        fail(f"helicity_m_per_s2: off by {off:.2e}")
    if is_mean:
        if not array["turbulence_intensity"].min() >= 0:
            fail("turbulence_intensity below zero")
        # Half a bore radius ahead of the grille, the bore's rows are those ahead of which the wall ends.
        ahead = int(-image.GetOrigin()[0] / cell) - 2
        bore = ~solid[:, ahead] & (numpy.arange(rows) < (numpy.flatnonzero(solid[:, ahead]).min() if solid[:, ahead].any() else rows))
        weight = radius * bore
        mean = (velocity[:, ahead, 0] * weight).sum() / weight.sum()
        if not abs(mean / run["face_velocity_m_per_s"] - 1) < 0.02:
            fail(f"mean speed in the bore {mean}, expected {run['face_velocity_m_per_s']}")
    return int(free.sum())


def main():
    """Checks both files."""
    folder = sys.argv[1]
    with open(os.path.join(folder, "run.json"), encoding="utf-8") as file:
        run = json.load(file)
    count = check(os.path.join(folder, "mean.vti"), run, True)
    check(os.path.join(folder, "last.vti"), run, False)
    print(f"agrees: {count} cells free of walls")


if __name__ == "__main__":
    main()
