#!/usr/bin/env python3
"""Solve the ring-in-housing sections of tests/section/calculix_sections.csv with CalculiX, an independent open solver.

    tools/reference/calculix_sections.py            compare fresh figures with the kept ones (to 0.5 %)
    tools/reference/calculix_sections.py --write    replace the kept figures

Needs `ccx` (Debian: calculix-ccx) and nothing else. Nothing is shared with src/fit: other elements (8 nodes, reduced
integration), other meshes that do not match across the seat, and CalculiX's own surface contact on an overlapping ring
instead of a prescribed difference. The force comes from balance of the ring's hoop stress: N = -2 pi * integral of it
over the ring's section. tests/section/kept_figures.cpp holds the project's solver against the kept figures.
"""
import csv
import math
import pathlib
import re
import subprocess
import sys
import tempfile

TABLE = pathlib.Path(__file__).resolve().parents[2] / "tests/section/calculix_sections.csv"
OVERLAP_UM = 10.0  # of the diameter; results are per micrometre


def spaced(a, b, fine_points, fine, growth, largest):
    """Places from a to b, close together near the fine points."""
    places, x = [a], a
    while x < b - 1e-9:
        nearest = min(min(abs(x - p), abs(x + 0.5 * fine - p)) for p in fine_points)
        x = min(b, x + min(largest, fine + growth * nearest))
        places.append(x)
    if len(places) > 2 and places[-1] - places[-2] < 0.4 * (places[-2] - places[-3]):
        places.pop(-2)
    return places


def lines_through(breaks, fine_points, fine, growth, largest):
    breaks = sorted(breaks)
    kept = [breaks[0]] + [b for a, b in zip(breaks, breaks[1:]) if b - a > 1e-6]
    lines = [kept[0]]
    for a, b in zip(kept, kept[1:]):
        lines += spaced(a, b, fine_points, fine, growth, largest)[1:]
    return lines


class Mesh:
    """Quadratic quads; x is the radius, y the axis, as CalculiX wants for bodies of revolution."""

    def __init__(self, first_node, first_element):
        self.nodes, self.ids, self.elements = [], {}, []
        self.first_node, self.first_element = first_node, first_element

    def node(self, r, z):
        key = (round(r * 1e7), round(z * 1e7))
        if key not in self.ids:
            self.ids[key] = self.first_node + len(self.nodes)
            self.nodes.append((r, z))
        return self.ids[key]

    def quad(self, p00, p10, p11, p01):
        """Corners as (r, z), counter-clockwise in (r, z)."""
        def mid(p, q):
            return (0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1]))
        corners = [p00, p10, p11, p01]
        places = corners + [mid(corners[i], corners[(i + 1) % 4]) for i in range(4)]
        self.elements.append([self.node(*p) for p in places])
        return self.first_element + len(self.elements) - 1

    def place(self, node):
        return self.nodes[node - self.first_node]

    def area(self, element):
        p = [self.place(n) for n in element[:4]]
        return 0.5 * abs(sum(p[i][0] * p[(i + 1) % 4][1] - p[(i + 1) % 4][0] * p[i][1] for i in range(4)))


def mesh_ring(c, face):
    B, R = c["B"], c["D"] / 2 + OVERLAP_UM * 0.5e-3
    bottom, shoulder, recess = c["bottom"] / 2, c["shoulder"] / 2, c["recess"] / 2
    depth, chamfer, radius = c["depth"], c["chamfer"], c["radius"]
    sag = bottom - shoulder
    half = math.sqrt(sag * (2 * radius - sag))

    def top(x):
        return R - max(0.0, chamfer - min(x, B - x))

    def low(x):
        off = abs(x - B / 2)
        return shoulder if off >= half else bottom - radius + math.sqrt(radius ** 2 - off ** 2)

    def step(x):  # the line between the two layers: level with the recess at its end, above the groove
        t = min(1.0, max(0.0, (min(x, B - x) - depth) / (0.5 * (B / 2 - half - depth))))
        return recess + t * (max(recess, bottom + 0.4 * (R - bottom)) - recess)

    breaks = [0, chamfer, depth, B / 2 - half, B / 2, B / 2 + half, B - depth, B - chamfer, B]
    columns = lines_through(breaks, [chamfer, B - chamfer], 0.035, 0.22, 0.35)
    upper = [0, 0.03, 0.08, 0.16, 0.28, 0.45, 0.7, 1]  # from the outside inward
    lower = [0, 0.33, 0.67, 1]
    mesh, seat = Mesh(1, 1), []
    for a, b in zip(columns, columns[1:]):
        inside = 0.5 * (a + b)
        land = depth == 0 or min(inside, B - inside) > depth
        def at(x, share):
            split = step(x) if depth > 0 else low(x)
            return (top(x) + share * (split - top(x)), face + x)
        for s, t in zip(upper, upper[1:]):
            element = mesh.quad(at(a, t), at(a, s), at(b, s), at(b, t))
            if s == 0 and chamfer < inside < B - chamfer:
                seat.append((element, "S2"))  # second side: between the second and third corner
        if land and depth > 0:
            def under(x, share):
                return (step(x) + share * (low(x) - step(x)), face + x)
            for s, t in zip(lower, lower[1:]):
                mesh.quad(under(a, t), under(a, s), under(b, s), under(b, t))
    groove = mesh.node(low(B / 2), face + B / 2)
    return mesh, seat, groove


def mesh_housing(c, ends):
    steps, seat_r = c["steps"], c["D"] / 2
    z_breaks, r_breaks, z = [0.0], [], 0.0
    for length, bore, outside in steps:
        z += length
        z_breaks.append(z)
        r_breaks += [bore / 2, outside / 2]
    fine = sorted(set(ends + [b for b in z_breaks if ends[0] - 1 < b < ends[1] + 1]))
    z_lines = lines_through(z_breaks, fine, 0.05, 0.25, 2.5)
    r_lines = lines_through(r_breaks, [seat_r], 0.05, 0.3, 2.5)
    mesh, seat = Mesh(200001, 200001), []
    for a, b in zip(z_lines, z_lines[1:]):
        place, to = 0.5 * (a + b), 0.0
        for length, bore, outside in steps:
            to += length
            if place < to:
                break
        for r, s in zip(r_lines, r_lines[1:]):
            if r > bore / 2 - 1e-6 and s < outside / 2 + 1e-6:
                element = mesh.quad((r, a), (s, a), (s, b), (r, b))
                if abs(r - seat_r) < 1e-6:
                    seat.append((element, "S4"))
    return mesh, seat


def deck(c):
    face = c["seat_at"] - c["slide"]
    ends = [max(face + c["chamfer"], 0.0), face + c["B"] - c["chamfer"]]
    ring, ring_seat, groove = mesh_ring(c, face)
    house, house_seat = mesh_housing(c, ends)
    out = []
    for name, mesh in (("RING", ring), ("HOUSE", house)):
        out.append(f"*NODE, NSET=N{name}")
        out += [f"{mesh.first_node + i}, {r:.9f}, {z:.9f}, 0" for i, (r, z) in enumerate(mesh.nodes)]
        out.append(f"*ELEMENT, TYPE=CAX8R, ELSET={name}")
        out += [f"{mesh.first_element + i}, " + ", ".join(map(str, e)) for i, e in enumerate(mesh.elements)]
    for name, seat in (("SRING", ring_seat), ("SHOUSE", house_seat)):
        out.append(f"*SURFACE, NAME={name}, TYPE=ELEMENT")
        out += [f"{element}, {side}" for element, side in seat]
    for name, E, nu in (("RING", 208000, 0.30), ("HOUSE", c["E"] * 1000, c["nu"])):
        out += [f"*MATERIAL, NAME=M{name}", "*ELASTIC", f"{E}, {nu}", f"*SOLID SECTION, ELSET={name}, MATERIAL=M{name}"]
    out += ["*SURFACE INTERACTION, NAME=I", "*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR", "2.0e7",
            "*CONTACT PAIR, INTERACTION=I, TYPE=SURFACE TO SURFACE", "SRING, SHOUSE",
            "*BOUNDARY", f"{groove}, 2, 2", f"{house.first_node}, 2, 2",
            "*STEP, INC=200", "*STATIC", "1.0, 1.0",
            "*EL PRINT, ELSET=RING", "S", "*NODE PRINT, NSET=NRING", "U", "*END STEP"]
    return "\n".join(out) + "\n", ring, groove


def solve(c):
    text, ring, groove = deck(c)
    with tempfile.TemporaryDirectory() as folder:
        pathlib.Path(folder, "job.inp").write_text(text)
        run = subprocess.run(["ccx", "-i", "job"], cwd=folder, capture_output=True, text=True)
        data = pathlib.Path(folder, "job.dat")
        if not data.exists() or "displacements" not in data.read_text():
            raise SystemExit(f"{c['case']}: ccx gave no result\n{run.stdout[-1500:]}")
        hoop, moved, part = {}, None, ""
        for line in data.read_text().splitlines():
            if "stresses" in line or "displacements" in line:
                part = "S" if "stresses" in line else "U"
                continue
            fields = line.split()
            if part == "S" and len(fields) == 8:
                hoop.setdefault(int(fields[0]), []).append(float(fields[4]))  # szz: round the axis
            elif part == "U" and len(fields) == 4 and int(fields[0]) == groove:
                moved = float(fields[1])
    total = sum(sum(hoop[ring.first_element + i]) / len(hoop[ring.first_element + i]) * ring.area(e)
                for i, e in enumerate(ring.elements))
    return -2 * math.pi * total / OVERLAP_UM, -2e3 * moved / OVERLAP_UM


def read_cases():
    with TABLE.open() as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    for row in rows:
        case = {k: float(row[k]) for k in ("D", "B", "bottom", "radius", "shoulder", "recess", "depth", "chamfer",
                                           "seat_at", "slide", "E", "nu")}
        case["case"] = row["case"]
        case["steps"] = [tuple(map(float, re.split(":", s))) for s in row["steps"].split()]
        yield row, case


def main():
    write, worst, rows = "--write" in sys.argv[1:], 0.0, []
    for row, case in read_cases():
        N, raceway = solve(case)
        if row["N_per_um"] and not write:
            off = [N / float(row["N_per_um"]) - 1, raceway / float(row["raceway"]) - 1]
            worst = max(worst, *map(abs, off))
            print(f"{case['case']:32} N {N:8.2f} N/um ({100 * off[0]:+.2f} %)  raceway {raceway:.4f} ({100 * off[1]:+.2f} %)")
        else:
            print(f"{case['case']:32} N {N:8.2f} N/um  raceway {raceway:.4f}")
        rows.append({**row, "N_per_um": f"{N:.2f}", "raceway": f"{raceway:.4f}"})
    if write:
        comments = [line for line in TABLE.read_text().splitlines() if line.startswith("#")]
        with TABLE.open("w", newline="") as file:
            file.write("\n".join(comments) + "\n")
            writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    elif worst > 0.005:
        raise SystemExit(f"CalculiX now differs from the kept figures by {100 * worst:.2f} %.")


if __name__ == "__main__":
    main()
