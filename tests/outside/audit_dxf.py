#!/usr/bin/env python3
"""Audit DXF files with ezdxf: one line a file, exit status 1 when any has an error or needs a fix.

    audit_dxf.py FILE.dxf ...

Beside the audit it checks what the audit does not: that the file loads without the recovery mode, that every layout has
its paper viewport, and that each other viewport's frame shows model space at a finite positive scale."""
import logging
import sys

import ezdxf


class Warnings(logging.Handler):
    """Collects what ezdxf would only log: structure it repaired while loading."""

    def __init__(self):
        super().__init__(logging.WARNING)
        self.lines = []

    def emit(self, record):
        self.lines.append(record.getMessage())


def layout_faults(doc):
    faults = []
    for layout in doc.layouts:
        if layout.is_modelspace:
            continue
        viewports = list(layout.query("VIEWPORT"))
        if sorted(v.dxf.id for v in viewports) != list(range(1, len(viewports) + 1)):
            faults.append(f"layout {layout.name}: viewport ids {[v.dxf.id for v in viewports]}")
        for v in viewports:
            if v.dxf.id > 1 and not 0 < v.get_scale() < 1000:
                faults.append(f"layout {layout.name}: viewport scale {v.get_scale()}")
    return faults


def main():
    heard = Warnings()
    logging.getLogger("ezdxf").addHandler(heard)
    bad = 0
    for path in sys.argv[1:]:
        heard.lines.clear()
        doc = ezdxf.readfile(path)
        auditor = doc.audit()
        faults = [f"error: {e.message}" for e in auditor.errors] + [f"fix: {e.message}" for e in auditor.fixes]
        faults += [f"warning: {line}" for line in heard.lines] + layout_faults(doc)
        for fault in faults:
            print(f"{path}: {fault}")
        print(f"{path}: {len(auditor.errors)} errors, {len(auditor.fixes)} fixes")
        bad += bool(faults)
    return 1 if bad or len(sys.argv) < 2 else 0


if __name__ == "__main__":
    sys.exit(main())
