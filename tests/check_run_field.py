"""Opens `mean.vti` and `last.vti` of a run with the PyPI packages `vtk` and `pyvista` and checks it against what the run's inputs and physics ask for.

Usage: python3 check_run_field.py FOLDER_OF_THE_RUN

Nothing here comes from the program but the files: geometry from the inputs in `run.json` (hole view: a tube in a round repeat; slice view: half a
slot between mirror planes), the same volume flow through every plane, K by the momentum through two planes, vorticity and Q by central differences.

Exit code 0 when everything agrees; 1 with a line that says what differs otherwise.
"""

import csv
import json
import math
import os
import sys

import numpy
import vtk
from vtk.util.numpy_support import vtk_to_numpy

import vtk_reader
from vtk_reader import fail


def close(what, got, expected, tolerance):
    """Compares two numbers; `tolerance` as a part of the expected one. NaN fails."""
    if not abs(got - expected) <= tolerance * abs(expected):
        fail(f"{what}: {got:.6g}, expected {expected:.6g} within {100 * tolerance:.3g} %")


def read(path):
    """The image and its arrays, rows (across) first; complaints of a reader, or a difference between the two, end the check."""
    image = vtk_reader.read(vtk.vtkXMLImageDataReader(), path)
    points = image.GetDimensions()
    shape = (points[1] - 1, points[0] - 1)
    data = image.GetCellData()
    flat = {data.GetArrayName(i): vtk_to_numpy(data.GetArray(i)) for i in range(data.GetNumberOfArrays())}
    vtk_reader.compare_with_pyvista(path, flat, vtk_reader.notes(image))
    return image, {name: values.reshape(shape + values.shape[1:]) for name, values in flat.items()}


def momentum_loss(arrays, weight, x, half_pitch, behind, density, face):
    """K by the area means of p + rho u u ahead of the plate and at `behind`; fluctuations are a part of it."""
    along = arrays["velocity_m_per_s"][..., 0].astype(float)
    # An instant has none.
    fluctuation = arrays.get("turbulence_intensity", numpy.zeros(1)).astype(float) * face
    total = arrays["pressure_pa"] + density * (along**2 + fluctuation**2)
    mean = (total * weight).sum(axis=0) / weight.sum(axis=0)
    first, second = (int(numpy.argmin(abs(x - place))) for place in (-half_pitch, behind))
    return 2 * (mean[first] - mean[second]) / (density * face**2)


def main():
    """Compares the file with the expectation."""
    folder = sys.argv[1]
    with open(os.path.join(folder, "run.json"), encoding="utf-8") as file:
        run = json.load(file)
    inputs = run["inputs"]
    image, arrays = read(os.path.join(folder, "mean.vti"))
    names = ["pressure_pa", "q_criterion_per_s2", "solid", "turbulence_intensity", "velocity_m_per_s", "vorticity_per_s"]
    if sorted(arrays) != names:
        fail(f"arrays {sorted(arrays)}")
    velocity = arrays["velocity_m_per_s"].astype(float)
    solid = arrays["solid"] == 1
    air = ~solid
    along, across = velocity[..., 0], velocity[..., 1]
    if numpy.any(velocity[..., 2]):
        fail("a plane flow has a component out of its plane")
    if numpy.any(velocity[solid]):
        fail("the plastic moves")
    if not numpy.all(numpy.isin(arrays["solid"], (0, 1))):
        fail("the mask is neither 0 nor 1")

    is_hole = run["view"] == "hole view"
    opening, thickness = inputs["opening_mm"] / 1e3, inputs["thickness_mm"] / 1e3
    phi, face = inputs["free_area_ratio"], inputs["face_velocity_m_per_s"]
    density = inputs["air_density_kg_per_m3"]
    half_pitch = opening / 2 / (math.sqrt(phi) if is_hole else phi)
    cell = image.GetSpacing()[0]
    rows, columns = solid.shape
    x = image.GetOrigin()[0] + cell * (numpy.arange(columns) + 0.5)
    y = image.GetOrigin()[1] + cell * (numpy.arange(rows) + 0.5)
    close("height of the domain", rows * cell, half_pitch, 0.01)

    # The plate: from 0 to its thickness, from the edge of the opening to the edge of the repeat. A row and a column of cells may be cut.
    ribs = (half_pitch - opening / 2) / cell, thickness / cell
    least, most = (ribs[0] - 1) * (ribs[1] - 1), (ribs[0] + 1) * (ribs[1] + 1)
    if not least <= solid.sum() <= most:
        fail(f"{solid.sum()} solid cells, expected {ribs[0] * ribs[1]:.0f}")
    where = numpy.flatnonzero(solid.any(axis=0))
    if abs(x[where[0]] - cell / 2) > cell or abs(x[where[-1]] + cell / 2 - thickness) > cell:
        fail(f"the plate reaches from {x[where[0]]} to {x[where[-1]]}")

    # The same flow through every plane, and as much as the inputs ask for.
    weight = (y if is_hole else numpy.ones(rows))[:, None] * air
    area = weight.sum(axis=0)
    whole = weight[:, 0].sum()
    flow = (along * weight).sum(axis=0) / whole
    for what, place in (("ahead", -0.5 * 2 * half_pitch), ("within", thickness / 2), ("behind", thickness + 3 * half_pitch)):
        column = int(numpy.argmin(abs(x - place)))
        close(f"mean speed {what}", flow[column], face, 0.002 if what != "within" else 0.005)
    close("open area within", area[numpy.argmin(abs(x - thickness / 2))] / whole, phi, 0.04)
    close("speed of the undisturbed air", along[:, 2].mean(), face, 0.01)

    # K by momentum, from the mean just behind the plate: further on it still holds some of the start-up, which K leaves out.
    loss = momentum_loss(arrays, weight, x, half_pitch, thickness + half_pitch, density, face)
    close("K by momentum", loss, run["loss_coefficient"], 0.005)
    # At one instant the same K is found at any plane behind the plate: that of the last row of the history.
    _, last = read(os.path.join(folder, "last.vti"))
    if sorted(last) != [name for name in names if name != "turbulence_intensity"]:
        fail(f"arrays of the last instant {sorted(last)}")
    with open(os.path.join(folder, "history.csv"), encoding="utf-8", newline="") as file:
        row = list(csv.DictReader(file))[-1]
    for planes in (1, 2, 4):
        instant = momentum_loss(last, weight, x, half_pitch, thickness + planes * half_pitch, density, face)
        close(f"K of the last instant, {planes} half pitches behind", instant, float(row["loss_coefficient"]), 0.002)

    # Vorticity and Q where no wall is near.
    inner = air.copy()
    inner[:1], inner[-1:], inner[:, :1], inner[:, -1:] = False, False, False, False
    for shift in ((0, 1), (0, -1), (1, 0), (-1, 0)):
        inner &= numpy.roll(air, shift, (0, 1))
    curl = numpy.gradient(across, cell, axis=1) - numpy.gradient(along, cell, axis=0)
    difference = abs(curl - arrays["vorticity_per_s"])[inner].max()
    if not difference <= 1e-3 * abs(curl[inner]).max():
        fail(f"vorticity is off by {difference} 1/s")
    slopes = [numpy.gradient(field, cell, axis=axis) for field in (along, across) for axis in (1, 0)]
    tensor = numpy.zeros(along.shape + (3, 3))
    tensor[..., 0, 0], tensor[..., 0, 1], tensor[..., 1, 0], tensor[..., 1, 1] = slopes
    if is_hole:
        tensor[..., 2, 2] = across / y[:, None]
    turned = numpy.swapaxes(tensor, -1, -2)
    q_criterion = (((tensor - turned) ** 2).sum(axis=(-1, -2)) - ((tensor + turned) ** 2).sum(axis=(-1, -2))) / 8
    difference = abs(q_criterion - arrays["q_criterion_per_s2"])[inner].max()
    if not difference <= 1e-3 * abs(q_criterion[inner]).max():
        fail(f"Q is off by {difference} 1/s2")
    said = vtk_reader.notes(image)
    if said["face_velocity_m_per_s"] != run["face_velocity_m_per_s"] or said["view"] != run["view"]:
        fail(f"notes {said}")
    print(f"agrees: {rows} x {columns} cells, K {loss:.4f} and {run['loss_coefficient']:.4f}, {solid.sum()} solid")


if __name__ == "__main__":
    main()
