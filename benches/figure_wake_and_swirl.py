"""Draws `cases/one-turned-hole/wake-and-swirl.jpg` from the files of a run in three dimensions alone: no solver, no screen.

    ventwright run cases/one-turned-hole/study.toml
    python benches/figure_wake_and_swirl.py results/one-turned-hole/runs/KEY cases/one-turned-hole/wake-and-swirl.jpg

KEY is the folder with a `plate.vtp`. Needs the PyPI package `pyvista`. Look at the picture; `cases/one-turned-hole/README.md` says in general words what is done here.
"""

import os
import sys

# Without a screen; must be said before the package is loaded.
os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")

import numpy
import pyvista
from PIL import Image

SIZE = (1560, 540)


def hole_of(field):
    """The place in the middle of the plate that lies furthest from any wall, along y and z, m; the pattern is periodic."""
    columns, rows, layers = (n - 1 for n in field.dimensions)
    solid = field.cell_data["solid"].reshape(layers, rows, columns)
    plate = numpy.flatnonzero(solid.any(axis=(0, 1)))
    wall = solid[:, :, plate[len(plate) // 2]] != 0
    z, y = numpy.nonzero(wall)
    best, place = -1, (rows // 2, layers // 2)
    for layer, row in zip(*numpy.nonzero(~wall)):
        dy, dz = abs(y - row), abs(z - layer)
        room = (numpy.minimum(dy, rows - dy) ** 2 + numpy.minimum(dz, layers - dz) ** 2).min()
        if room > best:
            best, place = room, (row, layer)
    return place


def centred(field, plate):
    """The periodic field with the hole in its middle, values at points; and its plate."""
    row, layer = hole_of(field)
    columns, rows, layers = (n - 1 for n in field.dimensions)
    cell = field.spacing[0]
    turn = (layers // 2 - layer, rows // 2 - row)
    image = pyvista.ImageData(
        dimensions=(columns, rows, layers),
        spacing=field.spacing,
        origin=(field.origin[0] + cell / 2, -(rows // 2) * cell, -(layers // 2) * cell),
    )
    for name, values in field.cell_data.items():
        shape = (layers, rows, columns) + values.shape[1:]
        image.point_data[name] = numpy.roll(values.reshape(shape), turn, (0, 1)).reshape(values.shape)
    extent = numpy.array([0, rows, layers]) * cell
    shift = numpy.array([0, turn[1], turn[0]]) * cell
    # Half a cell, because the hole's cell has its middle at zero.
    shift[1:] -= cell / 2 * (1 - numpy.array([rows, layers]) % 2)
    copies = []
    for side in (-1, 0, 1):
        for up in (-1, 0, 1):
            copies.append(plate.translate(shift + extent * (0, side, up), inplace=False))
    whole = copies[0].merge(copies[1:])
    half = extent[1:] / 2
    bounds = (-1, 1, -half[0], half[0], -half[1], half[1])
    return image, whole.clip_box(bounds, invert=False).extract_surface(algorithm="dataset_surface")


def main():
    """Draws the three parts of the picture."""
    run, out = sys.argv[1:]
    field = pyvista.read(os.path.join(run, "mean.vti"))
    ahead = float(field.field_data["face_velocity_m_per_s"][0])
    thickness = 1e-3 * float(field.field_data["thickness_mm"][0])
    pitch = 1e-3 * float(field.field_data["pitch_mm"][0])
    image, plate = centred(field, pyvista.read(os.path.join(run, "plate.vtp")))
    velocity = image.point_data["velocity_m_per_s"] / ahead
    y, z = image.points[:, 1], image.points[:, 2]
    image.point_data["speed"] = velocity[:, 0]
    # About the axis of the hole, the right hand along the flow.
    image.point_data["swirl"] = (y * velocity[:, 2] - z * velocity[:, 1]) / numpy.hypot(y, z).clip(1e-9)
    air = image.threshold(0.5, scalars="solid", invert=True)
    near = (-0.7 * pitch, thickness + 1.6 * pitch)
    beside = 0.62 * pitch
    half_plate = plate.clip("z", origin=(0, 0, 0), invert=True)

    plotter = pyvista.Plotter(off_screen=True, shape=(1, 3), col_weights=[1.2, 1.2, 0.9], window_size=SIZE, border=False)
    plotter.set_background("white", all_renderers=True)
    bar = dict(n_labels=5, fmt="%.1f", color="black", width=0.72, height=0.06, position_x=0.14, position_y=0.04, title_font_size=17, label_font_size=16)
    words = dict(position="upper_left", font_size=9, color="black")
    most = float(numpy.percentile(abs(air.point_data["swirl"]), 99))
    turning = dict(scalars="swirl", cmap="PuOr", clim=(-most, most))

    # The wake: a slice along the flow through the middle of the hole.
    plotter.subplot(0, 0)
    along = air.slice(normal="z", origin=(0, 0, 0)).clip_box((*near, -1, 1, -1, 1), invert=False)
    plotter.add_mesh(along, scalars="speed", cmap="viridis", lighting=False, scalar_bar_args={"title": "speed along the flow / speed ahead", **bar})
    plotter.add_mesh(along.contour([0.0], scalars="speed"), color="white", line_width=3)
    plotter.add_mesh(half_plate, color="#d0d0d0", ambient=0.35)
    plotter.add_text("wake: a slice along the flow,\nwhite: where it turns back", **words)

    # The swirl: stream lines that begin in a disc ahead of the hole, and a contour of Q, both coloured by the swirl.
    plotter.subplot(0, 1)
    angles, radii = numpy.meshgrid(numpy.linspace(0, 2 * numpy.pi, 22, endpoint=False), numpy.linspace(0.08, 0.4, 5) * pitch)
    seeds = pyvista.PolyData(numpy.stack([numpy.full(angles.size, -0.5 * pitch), (radii * numpy.cos(angles)).ravel(), (radii * numpy.sin(angles)).ravel()], axis=1))
    lines = image.streamlines_from_source(seeds, vectors="velocity_m_per_s", integration_direction="forward", max_length=10 * pitch)
    lines = lines.clip_box((*near, -1, 1, -1, 1), invert=False)
    title = {"title": "swirl about the hole / speed ahead", **bar}
    plotter.add_mesh(lines.extract_surface(algorithm="dataset_surface").tube(radius=0.007 * pitch), **turning, scalar_bar_args=title)
    behind = air.clip_box((thickness, near[1], -beside, beside, -beside, beside), invert=False)
    level = float(numpy.percentile(behind.point_data["q_criterion_per_s2"], 97))
    vortices = behind.contour([level], scalars="q_criterion_per_s2")
    plotter.add_mesh(vortices, **turning, opacity=0.45, show_scalar_bar=False)
    plotter.add_mesh(half_plate, color="#d0d0d0", ambient=0.35)
    plotter.add_text("swirl: stream lines, and\na contour of Q behind the plate", **words)

    # The same across the flow, a quarter of a pitch behind the plate, seen against the flow.
    plotter.subplot(0, 2)
    place = (thickness + 0.25 * pitch, 0, 0)
    around = (-1, 1, -beside, beside, -beside, beside)
    plotter.add_mesh(air.slice(normal="x", origin=place).clip_box(around, invert=False), **turning, lighting=False, scalar_bar_args=title | {"title": "swirl about the hole / speed ahead "})
    sideways = image.slice(normal="x", origin=place)
    columns = len(numpy.unique(sideways.points[:, 1].round(7)))
    number = numpy.arange(sideways.n_points)
    few = pyvista.PolyData(sideways.points[(number % columns % 3 == 1) & (number // columns % 3 == 1)] + numpy.array([1e-4, 0, 0]))
    few = few.extract_points((abs(few.points[:, 1:]) < 0.96 * beside).all(axis=1), include_cells=False)
    few = few.sample(image, pass_cell_data=False)
    arrows = few.point_data["velocity_m_per_s"] / ahead
    arrows[:, 0] = 0
    few.point_data["sideways"] = arrows
    size = 0.16 * pitch / float(numpy.percentile(numpy.linalg.norm(arrows, axis=1), 98))
    shape = pyvista.Arrow(tip_radius=0.16, shaft_radius=0.05, tip_length=0.35)
    plotter.add_mesh(few.glyph(orient="sideways", scale="sideways", factor=size, geom=shape), color="black", lighting=False)
    plotter.add_text("the same across the flow, behind the\nplate, seen against it: arrows", **words)
    plotter.view_yz()
    plotter.enable_parallel_projection()
    plotter.camera.parallel_scale = 0.86 * pitch
    plotter.camera.focal_point = (place[0], 0, -0.13 * pitch)
    plotter.camera.position = (place[0] + 5 * pitch, 0, -0.13 * pitch)

    middle = (0.5 * (near[0] + near[1]), -0.25 * pitch, 0)
    for column in (0, 1):
        plotter.subplot(0, column)
        plotter.camera.position = (middle[0] + 0.9 * pitch, -2.2 * pitch, 3.4 * pitch)
        plotter.camera.focal_point = middle
        plotter.camera.up = (0, 1, 0)
        plotter.enable_parallel_projection()
        plotter.camera.parallel_scale = 1.62 * pitch
    picture = plotter.screenshot(return_img=True)
    Image.fromarray(picture).save(out, quality=88, optimize=True)
    print(f"{out}: {os.path.getsize(out)} bytes, Q at {level:.0f} 1/s2")


if __name__ == "__main__":
    main()
