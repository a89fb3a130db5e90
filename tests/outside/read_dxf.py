"""Coordinates of a drawing's model space as ezdxf reads them, as JSON lines: one drawing a line.

Each entity: handle, kind, `exact` points that must be met (ends, corners, vertices) and `samples` along its curve.
"""

import json
import math
import sys

import ezdxf
from ezdxf import recover
from ezdxf.math import OCS


def load(path):
    try:
        return ezdxf.readfile(path)
    except ezdxf.DXFError:
        return recover.readfile(path)[0]


def shape(entity):
    kind, dxf = entity.dxftype(), entity.dxf
    if kind == "LINE":
        return [dxf.start, dxf.end], []
    if kind == "3DFACE":
        corners = [dxf.vtx0, dxf.vtx1, dxf.vtx2, dxf.vtx3]
        sides = [(corners[i], corners[(i + 1) % 4]) for i in range(4) if not dxf.invisible_edges >> i & 1]
        # A level face is no more than its drawn sides.
        return [end for side in sides if side[0] != side[1] for end in side], []
    if kind == "LWPOLYLINE":
        return list(entity.vertices_in_wcs()), []
    if kind in ("ARC", "CIRCLE"):
        ocs = OCS(dxf.extrusion)
        start, end = (dxf.start_angle, dxf.end_angle) if kind == "ARC" else (0.0, 360.0)
        sweep = (end - start) % 360.0 or 360.0

        def at(share):
            angle = math.radians(start + share * sweep)
            return ocs.to_wcs((dxf.center.x + dxf.radius * math.cos(angle), dxf.center.y + dxf.radius * math.sin(angle), dxf.center.z))

        return ([at(0.0), at(1.0)] if kind == "ARC" else []), [at(i / 64) for i in range(65)]
    if kind == "ELLIPSE":
        sweep = (dxf.end_param - dxf.start_param) % math.tau
        sweep = math.tau if sweep < 1e-9 else sweep
        return [], list(entity.vertices([dxf.start_param + sweep * i / 64 for i in range(65)]))
    if kind == "SPLINE":
        curve = entity.construction_tool()
        knots = curve.knots()
        spans = sorted(set(knots[curve.order - 1 : curve.count + 1]))
        steps = [low + (high - low) * i / 16 for low, high in zip(spans, spans[1:]) for i in range(16)]
        return [], list(curve.points([*steps, spans[-1]]))
    return None


def main():
    for path in sys.argv[1:]:
        entities, failed = [], None
        try:
            for entity in load(path).modelspace():
                try:
                    made = shape(entity)
                except Exception as error:  # one curve that the other reader cannot evaluate
                    print(f"{path}: {entity}: {error}", file=sys.stderr)
                    continue
                if made:
                    exact, samples = ([[p[0], p[1], p[2]] for p in part] for part in made)
                    entities.append({"handle": entity.dxf.handle, "kind": entity.dxftype(), "exact": exact, "samples": samples})
        except Exception as error:
            failed = f"{type(error).__name__}: {error}"
        print(json.dumps({"path": path, "failed": failed, "entities": entities}))


main()
