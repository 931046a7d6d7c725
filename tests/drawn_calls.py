"""Calls drawn over the whole catalogue: every argument at the edges of what it may be, and between them."""

import math

from stillbook.readers import Columns, Few, Quantity, Vector
from stillbook.trade.isolation.composites import LossRows
from stillbook.trade.mass.leaves import LeafReader, SheetsReader
from stillbook.trade.physics.octave_rows import ElementNames, OctaveRows
from stillbook.trade.physics.sound import BANDS, OCTAVES, BandsReader
from stillbook.trade.room.absorption import SurfaceRows

LEAVES = [
    [["Gypsum board 5/8 in type X", None, 2]],
    "Glass 6 mm",
    "Concrete 6 in",
    [["Concrete", 1000, 1]],
    "Heavy limp sheet 1 lb/ft²",
    "0.001 kg/m²",
    "10.9 kg/m²",
    [["Steel sheet 24 gauge", None, 50]],
    [["Glass fibre 3 pcf", 3000, 1], ["Gypsum board 1/2 in", None, 1, 100]],
    [["1 kg/m³", 10]],
]
NAMES = [["Fan"], ["Box"], ["Grille"]]
SHEETS = [["Gypsum board 1/2 in"], ["Heavy limp sheet 1 lb/ft²"]]
ANYTHING = ["Gypsum board 1/2 in", "DOORMASS", "2'-6\"", "Curtain", 1.0]


def edges(quantity):
    """Values at the ends of what a quantity may be and between them, as an SI workbook holds them."""
    least, most = max(quantity.least, quantity.above), min(quantity.most, quantity.below)
    found = [least, most, (least + most) / 2]
    if least > 0:
        found += [math.sqrt(least * most), least**0.9 * most**0.1, least**0.1 * most**0.9]
    else:
        found += [most / 100, most / 10_000, 0.0]
    if quantity.whole:
        found = [float(round(value)) for value in found if least <= round(value) <= most]
    return [quantity.bare(value, "SI") for value in [*found, *[0.0] * quantity.zero]]


def argument(reader, chance):
    """Cells that a reader may be given."""

    def line(count):
        return [chance.choice(edges(reader.quantities[0])) for _ in range(count)]

    if reader.choices:
        return chance.choice(reader.choices)
    match reader:
        case Quantity():
            return line(1)[0]
        case Vector():
            return [line(chance.choice(reader.lengths or (3,)))]
        case Few():
            return [line(chance.randint(1, reader.most))]
        case Columns():
            return [[chance.choice(edges(each)) for each in reader.quantities] for _ in range(chance.randint(2, 4))]
        case OctaveRows():
            return [line(len(OCTAVES)) for _ in NAMES]
        case LossRows() | SurfaceRows():
            return [line(1) for _ in NAMES]
        case ElementNames():
            return NAMES
        case LeafReader():
            return chance.choice(LEAVES)
        case SheetsReader():
            return SHEETS
        case BandsReader():
            return chance.choice([*BANDS, [[20.0, 500.0, 20_000.0]]])
    return chance.choice(ANYTHING)


def call_of(entry, chance):
    """Arguments of one call in an SI workbook; some of the optional ones are left blank."""
    given = [
        None if not parameter.required and chance.random() < 0.3 else argument(parameter.reader, chance)
        for parameter in entry.parameters
    ]
    return [*given, "SI"] if entry.dimensional else given


def gives_levels(result):
    """Whether a result is levels or losses."""
    return any(
        kind is not None and kind.name == "level" for kind in (result.numbers_of, *dict(result.columns).values())
    )
