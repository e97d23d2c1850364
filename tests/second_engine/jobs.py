"""Random jobs as tables of a job file, and their TOML text. The same number gives the same job on any machine."""

from fractions import Fraction
from math import ceil
from random import Random
from typing import Any

Table = dict[str, Any]


class Writer:
    """Writes quantities in the units of one job, as a person would write them."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.imperial = random.random() < 0.5

    def between(self, low: float, high: float, digits: int = 2) -> float:
        return round(self.random.uniform(low, high), digits)

    def length(self, low_mm: float, high_mm: float) -> str:
        mm = self.random.uniform(low_mm, high_mm)
        return self.length_of(mm)

    def length_of(self, mm: float) -> str:
        """To a sixteenth of an inch, or to a millimeter."""
        if not self.imperial:
            return f"{round(mm)} mm"
        whole, rest = divmod(max(1, round(mm / 25.4 * 16)), 16)
        part = Fraction(rest, 16)
        if not rest:
            return f"{whole} in"
        return f"{whole}-{part.numerator}/{part.denominator} in" if whole else f"{part} in"

    def mass(self, low_kg: float, high_kg: float, digits: int = 1) -> str:
        kg = self.random.uniform(low_kg, high_kg)
        return f"{kg / 0.45359237:.{digits}f} lb" if self.imperial else f"{kg:.{digits}f} kg"

    def volume(self, low_m3: float, high_m3: float) -> str:
        m3 = self.random.uniform(low_m3, high_m3)
        return f"{m3 * 35.3147:.3f} ft^3" if self.imperial else f"{m3 * 1000:.2f} L"

    def density(self, low: float, high: float) -> str:
        kg_m3 = self.random.uniform(low, high)
        return f"{kg_m3 / 16.018463:.2f} lb/ft^3" if self.imperial else f"{kg_m3:.1f} kg/m^3"

    def shares(self, names: list[str]) -> dict[str, float]:
        """Whole hundredths that add up to 1, none of them zero."""
        cuts = sorted(self.random.sample(range(1, 100), len(names) - 1))
        ends = [0, *cuts, 100]
        return {name: (ends[i + 1] - ends[i]) / 100 for i, name in enumerate(names)}


def packs(
    write: Writer, low_kg: float, price_kg: float, *, by_volume: tuple[float, float] | None = None
) -> list[Table]:
    """One to three packs, with breaks and minimums now and then, some in volume where the material allows it."""
    random, sold = write.random, []
    for size in sorted(random.sample([1, 2, 3, 5, 8], random.choice([1, 1, 2, 2, 3]))):
        kg = low_kg * size
        pack: Table = {"name": f"pack {size}"}
        if by_volume and random.random() < 0.4:
            pack["volume"] = write.volume(kg / by_volume[1], kg / by_volume[0])
        else:
            pack["mass"] = write.mass(kg * 0.9, kg * 1.1)
        price = round(kg * price_kg * random.uniform(0.7, 1.1) / size**0.1, 2)
        pack["price"] = price
        if random.random() < 0.3:
            pack["minimum"] = random.randint(2, 4)
        if random.random() < 0.35:
            first = random.randint(3, 8)
            steps = [{"from": first, "price": round(price * 0.92, 2)}]
            if random.random() < 0.4:
                steps.append({"from": first + random.randint(2, 9), "price": round(price * 0.8, 2)})
            pack["breaks"] = steps
            if random.random() < 0.3:
                pack["breaks_rule"] = "incremental"
        sold.append(pack)
    return sold


def materials(write: Writer) -> dict[str, Table]:
    """Materials of a made-up shop, every figure drawn anew."""
    random, between, density = write.random, write.between, write.density
    damp = random.random() < 0.5
    table: dict[str, Table] = {
        "cement-a": {"kind": "cement", "relative_density": between(3.0, 3.2), "packs": packs(write, 12, 0.9)},
        "pozzolan-a": {"kind": "pozzolan", "density": density(2200, 2700), "packs": packs(write, 5, 1.6)},
        "sand-a": {
            "kind": "sand",
            "relative_density": between(2.55, 2.7),
            "bulk_density": density(1400, 1700),
            "moisture": between(0, 0.06, 3) if damp else 0.0,
            "absorption": between(0, 0.02, 3),
            "packs": packs(write, 12, 0.4, by_volume=(1400, 1700)),
        },
        "sand-b": {
            "kind": "sand",
            "density": density(2550, 2700),
            "bulk_density": density(1300, 1650),
            "packs": packs(write, 10, 0.5),
        },
        "bead-a": {
            "kind": "light-aggregate",
            "bulk_density": density(14, 60),
            "packing": between(0.56, 0.64),
            "packs": packs(write, 1, 8.0, by_volume=(14, 60)),
        },
        "bead-b": {
            "kind": "light-aggregate",
            "bulk_density": density(150, 450),
            "density": density(500, 1200),
            "absorption": between(0, 0.25, 3),
            "moisture": between(0, 0.05, 3),
            "packs": packs(write, 3, 2.0),
        },
        "powder-a": {"kind": "admixture", "density": density(900, 1500), "packs": packs(write, 0.6, 18.0)},
        "liquid-a": {
            "kind": "admixture",
            "density": density(1040, 1100),
            "solids": between(0.2, 0.4),
            "packs": packs(write, 0.8, 9.0),
        },
        "emulsion-a": {
            "kind": "polymer",
            "density": density(1030, 1070),
            "solids": between(0.45, 0.55),
            "packs": packs(write, 2, 5.0),
        },
        "pigment-a": {"kind": "pigment", "density": density(4000, 5000), "packs": packs(write, 0.5, 12.0)},
        "fiber-a": {"kind": "fibre", "relative_density": between(2.6, 2.7), "packs": packs(write, 1.5, 6.0)},
        "fiber-b": {"kind": "fibre", "density": density(1250, 1350), "packs": packs(write, 1, 11.0)},
    }
    for material in table.values():
        if random.random() < 0.1:
            material["special"] = True
    tap: Table = {"name": "tap", "volume": write.volume(0.004, 0.02), "price": between(0.01, 0.2)}
    table["water"] = {"kind": "water", "density": "998 kg/m^3", "packs": [tap] if random.random() < 0.7 else []}
    if random.random() < 0.1:
        del table[random.choice(["pigment-a", "fiber-a", "sand-b"])]["packs"]
    return table


def mix(write: Writer) -> Table:
    random, between = write.random, write.between
    aggregate = random.choice([["sand-a"], ["sand-a", "bead-a"], ["sand-a", "sand-b", "bead-a"], ["bead-b", "sand-b"]])
    table: Table = {
        "cementitious_share": between(0.4, 0.6),
        "cementitious": write.shares(random.choice([["cement-a"], ["cement-a", "pozzolan-a"]])),
        "aggregate": write.shares(aggregate),
        "water_cementitious": between(0.28, 0.45, 3),
        "air": between(0.0, 0.12, 3),
    }
    if table["cementitious"]["cement-a"] < 0.5:
        table["cementitious"] = {"cement-a": 0.85, "pozzolan-a": 0.15}
    if len([name for name in aggregate if name.startswith("sand")]) > 1:
        table["reference_sand"] = random.choice(["sand-a", "sand-b"])
    if random.random() < 0.7:
        table["admixtures"] = {random.choice(["powder-a", "liquid-a"]): between(0.002, 0.03, 4)}
    if random.random() < 0.6:
        table["polymer"] = {"emulsion-a": between(0.02, 0.08, 3)}
    if random.random() < 0.4:
        table["pigment"] = {"pigment-a": between(0.005, 0.08, 3)}
    if random.random() < 0.8:
        table["fibre"] = {
            name: between(0.005, 0.03, 4) for name in random.sample(["fiber-a", "fiber-b"], random.choice([1, 1, 2]))
        }
        table["fibre_basis"] = random.choice(["counted-dry", "total"])
    if random.random() < 0.3:
        table["waste"] = between(0.02, 0.2)
    return table


def slab(write: Writer) -> Table:
    random = write.random
    long, wide, thick = random.uniform(500, 2600), random.uniform(350, 1100), random.uniform(14, 45)
    shape: Table = {"kind": "slab", "length": write.length_of(long), "width": write.length_of(wide)}
    shape["thickness"] = write.length_of(thick)
    sides = random.sample(["front", "back", "left", "right"], random.choice([0, 0, 1, 2, 3, 4]))
    groups = [sides] if random.random() < 0.5 or len(sides) < 2 else [sides[:1], sides[1:]]
    if sides:
        shape["drop_edges"] = [
            {"sides": group, "height": write.length(thick + 15, thick + 90), "thickness": write.length(16, 45)}
            for group in groups
        ]
    openings = []
    for start in random.sample([0.12, 0.55], random.choice([0, 0, 1, 2])):
        length, width = long * random.uniform(0.1, 0.3), wide * random.uniform(0.2, 0.5)
        x, y = long * start + 60 if long > 900 else long * start + 20, wide * 0.25 + 20
        openings.append(opening(write, x, y, length, width))
    if openings and long > 700 and wide > 450:
        shape["cutouts"] = openings
    return shape


def opening(write: Writer, x: float, y: float, length: float, width: float) -> Table:
    random = write.random
    if random.random() < 0.4:
        size = min(length, width)
        return {
            "kind": "circle",
            "diameter": write.length_of(size),
            "x": write.length_of(x + size / 2),
            "y": write.length_of(y + size / 2),
        }
    table: Table = {"kind": "rectangle", "length": write.length_of(length), "width": write.length_of(width)}
    table |= {"x": write.length_of(x), "y": write.length_of(y)}
    if random.random() < 0.4:
        table["radius"] = write.length_of(min(length, width) * random.uniform(0.05, 0.4))
    return table


def panel(write: Writer) -> Table:
    random = write.random
    long, high, skin = random.uniform(600, 2400), random.uniform(500, 1500), random.uniform(12, 25)
    shape: Table = {"kind": "panel", "length": write.length_of(long), "height": write.length_of(high)}
    shape["skin"] = write.length_of(skin)
    sides = random.sample(["bottom", "top", "left", "right"], random.choice([0, 1, 2, 3, 4]))
    if sides:
        depth, thick = write.length(skin + 25, skin + 90), write.length(13, 28)
        shape["returns"] = [{"sides": sides, "depth": depth, "thickness": thick}]
    if random.random() < 0.3:
        shape["openings"] = [opening(write, long * 0.3, high * 0.3, long * 0.25, high * 0.25)]
    return shape


def box(write: Writer) -> Table:
    shape = {"kind": "box", "length": write.length(400, 1200), "width": write.length(300, 600)}
    shape |= {"height": write.length(250, 700), "wall": write.length(14, 35)}
    if write.random.random() < 0.6:
        shape["base"] = write.length(16, 45)
    return shape


def thickness_mm(shape: Table) -> float:
    """About the thinnest section."""
    text = shape.get("thickness") or shape.get("skin") or shape["wall"]
    number, unit = text.split(" ")
    whole, _, part = number.rpartition("-")
    value = float(whole or 0) + float(Fraction(part))
    return value * (25.4 if unit == "in" else 1.0)


def piece(write: Writer, mark: str, mixes: list[str]) -> Table:
    random = write.random
    kind, use = random.choice([(slab, "counter"), (slab, "other"), (panel, "panel"), (box, "planter")])
    table: Table = {"mark": mark, "quantity": random.choice([1, 1, 2, 3, 5]), "use": use, "shape": kind(write)}
    table["forms"] = random.randint(1, table["quantity"])
    chosen = random.random()
    if chosen < 0.4:
        face = write.length(2.5, thickness_mm(table["shape"]) / 4)
        table["layers"] = [
            {"mix": random.choice(mixes), "thickness": face, "method": "spray"},
            {"mix": random.choice(mixes), "method": "hand"},
        ]
        for layer in table["layers"]:
            if random.random() < 0.5:
                layer["waste"] = write.between(0, 0.3)
    elif chosen < 0.6:
        table["mix"] = random.choice(mixes)
    if random.random() < 0.3:
        table["waste"] = write.between(0, 0.15)
    if random.random() < 0.3:
        table["inserts"] = [{"name": "frame", "mass": write.mass(0.5, 6)}]
        if random.random() < 0.5:
            table["inserts"].append(
                {"name": "core", "mass": write.mass(0.1, 0.4), "displaces": write.volume(2e-4, 9e-4)}
            )
        if random.random() < 0.5:
            table["inserts"][0]["at"] = [write.length(100, 290) for _ in range(2)] + [write.length(4, 12)]
    if random.random() < 0.3:
        table["in_place"] = {"outdoors": random.random() < 0.7}
    return table


def buy_together(random: Random, known: dict[str, Table]) -> None:
    """Puts packs on pallets, some of them from a supplier with an order minimum."""
    for material in known.values():
        for pack in material.get("packs", []):
            if random.random() < 0.5:
                pack["supplier"] = "north yard"
            if random.random() < 0.7:
                pack["per_pallet"] = random.randint(8, 60)


def job(number: int) -> Table:
    """The job of that number."""
    random = Random(number)
    write = Writer(random)
    between = write.between
    mixes = {f"mix-{letter}": mix(write) for letter in "abc"[: random.randint(1, 3)]}
    names = list(mixes)
    known = materials(write)
    area = "lb/ft^2" if write.imperial else "kg/m^2"
    price: Table = {
        "overhead": between(0, 0.5),
        "tax": between(0, 0.2, 4),
        "charge": random.choice(["used", "used", "packs"]),
    }
    price |= {"margin": between(0, 0.5)} if random.random() < 0.6 else {"markup": between(0, 0.9)}
    freight: Table = {"per_pallet": 0.0, "lift_gate": 0.0}
    suppliers: list[Table] = []
    if random.random() < 0.12:
        freight["per_pallet"] = between(0, 150)
        suppliers = [{"name": "north yard", "minimum": between(50, 900), "small_order_charge": between(5, 60)}]
        buy_together(random, known)
    quote: Table = {
        "minimum": random.choice([0.0, 0.0, 0.0, 900.0, 60_000.0]),
        "round_to": random.choice([0.01, 0.01, 1.0, 5.0]),
    }
    if random.random() < 0.2:
        price["rounding"] = "up"
    return {
        "job": {
            "name": f"Job {number}",
            "units": "imperial" if write.imperial else "metric",
            "currency": "USD",
            "mix": random.choice(names),
            "waste": between(0, 0.15),
        },
        "piece": [piece(write, f"P{place}", names) for place in range(1, random.choice([1, 2, 2, 3, 4]) + 1)],
        "mixes": mixes,
        "materials": known,
        "workshop": {
            "density_tolerance": between(0, 0.1),
            "thickness_tolerance": write.length(0.5, 3),
            "loss_per_batch": random.choice(["0 kg", write.mass(0.2, 1.0)]),
            "handling": {
                "form_board": f"{between(1, 5)} {area}",
                "turning_board": f"{between(1, 5)} {area}",
                "soaked_gain": between(0.02, 0.2),
            },
            "placing": {"face_wait_most": "20 h"},  # the plan of the work refuses nothing here
            "freight": freight,
            "quote": quote,
        },
        "price": price,
        "supplier": suppliers,
        "stock": {name: write.mass(0.5, 40) for name in random.sample(sorted(known), ceil(random.random() * 4) - 1)},
    }


def toml_text(table: Table) -> str:
    """A job file: one section a line, [[piece]] for pieces."""
    lines = [f"{name} = {value_text(value)}" for name, value in table.items() if name != "piece"]
    for entry in table["piece"]:
        lines += ["[[piece]]", *(f"{key} = {value_text(value)}" for key, value in entry.items())]
    return "\n".join(lines) + "\n"


def value_text(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return f"[{', '.join(map(value_text, value))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key} = {value_text(part)}' for key, part in value.items())}}}" if value else "{}"
    return f'"{value}"' if isinstance(value, str) else repr(value)
