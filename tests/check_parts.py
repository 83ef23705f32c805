"""Opens the files of exported grilles with the PyPI packages `trimesh`, `ezdxf` and `svgelements` and holds them against each other and against the drawing.

Usage: python3 check_parts.py FOLDER EXPECTED.json

EXPECTED.json: [{"stem": file name without its ending, "holes": number or null, "volume_mm3": number or null, "thickness_mm": number, "width_mm": number}, ...]

A mesh has to be one watertight body that winds one way, with as many handles as holes and the drawing's volume (0.2 %);
the outlines of SVG and DXF have to enclose the areas that cuts through the mesh have (0.1 %).

Exit code 0 when everything agrees; 1 with a line that says what differs otherwise.
"""

import json
import os
import sys

import ezdxf
import numpy
import svgelements
import trimesh


def fail(words):
    print("differs: " + words)
    sys.exit(1)


def close(stem, what, found, wanted, share):
    if abs(found - wanted) > share * abs(wanted):
        fail(f"{stem}: {what} is {found}, not {wanted}")


def check_mesh(stem, path, wanted):
    loaded = trimesh.load(path)
    mesh = loaded.to_geometry() if hasattr(loaded, "to_geometry") else loaded
    if not mesh.is_watertight or not mesh.is_winding_consistent:
        fail(f"{path}: not watertight, or not wound one way")
    if mesh.body_count != 1:
        fail(f"{path}: {mesh.body_count} bodies")
    if mesh.area_faces.min() <= 0.0:
        fail(f"{path}: a triangle has no area")
    holes = (2 - mesh.euler_number) // 2
    if wanted["holes"] is not None and holes != wanted["holes"]:
        fail(f"{path}: {holes} handles, not {wanted['holes']}")
    if wanted["volume_mm3"] is not None:
        close(stem, "volume", mesh.volume, wanted["volume_mm3"], 2e-3)
    close(stem, "thickness", mesh.extents[2], wanted["thickness_mm"], 1e-6)
    # Equal-area polygons stand out of a circle by less than the tolerance.
    if abs(mesh.extents[0] - wanted["width_mm"]) > 0.1:
        fail(f"{stem}: {mesh.extents[0]} mm wide, not {wanted['width_mm']}")
    return mesh


def area(points):
    x, y = numpy.asarray(points, dtype=float)[:, :2].T
    return 0.5 * float(numpy.sum(x * numpy.roll(y, -1) - y * numpy.roll(x, -1)))


def check_drawings(stem, folder, mesh, thickness):
    drawing = ezdxf.readfile(os.path.join(folder, stem + ".dxf"))
    picture = svgelements.SVG.parse(os.path.join(folder, stem + ".svg"), ppi=25.4)
    for layer, share in (("front", 1e-6), ("middle", 0.5 + 1e-7), ("back", 1 - 1e-6)):
        cut = mesh.section(plane_origin=[0, 0, share * thickness], plane_normal=[0, 0, 1])
        # One outline and, within it, the openings.
        areas = sorted(abs(area(line)) for line in cut.discrete)
        wanted = areas[-1] - sum(areas[:-1])
        lines = [p for p in drawing.modelspace().query("POLYLINE") if p.dxf.layer == layer]
        if not all(line.is_closed for line in lines):
            fail(f"{stem}: an open line in DXF")
        found = sum(area([tuple(point) for point in line.points()]) for line in lines)
        close(stem, f"area of DXF, {layer}", found, wanted, 1e-3)
        group = picture.get_element_by_id(layer)
        if group is None:
            fail(f"{stem}: no group {layer} in SVG")
        found = 0.0
        for path in group.select(lambda element: isinstance(element, svgelements.Path)):
            for part in path.as_subpaths():
                # y points down in a picture.
                found -= area([(point.x, point.y) for point in svgelements.Path(part).as_points()])
        close(stem, f"area of SVG, {layer}", found, wanted, 1e-3)


def main():
    folder, expected = sys.argv[1:]
    with open(expected, encoding="utf-8") as file:
        parts = json.load(file)
    for part in parts:
        stem = part["stem"]
        mesh = check_mesh(stem, os.path.join(folder, stem + ".3mf"), part)
        check_mesh(stem, os.path.join(folder, stem + ".stl"), part)
        check_drawings(stem, folder, mesh, part["thickness_mm"])
    print(f"agrees: {len(parts)} parts")


main()
