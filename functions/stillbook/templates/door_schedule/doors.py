"""Doors: what each must weigh, what it weighs, its hinges and gap, and whether it passes."""

from __future__ import annotations

from typing import Final

from stillbook.cautions import HEAVY_DOORS
from stillbook.quantities import AREA, FORCE, LENGTH, MASS, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.calls import filled
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import states
from stillbook.templates.parts.schedule import Schedule, Worked
from stillbook.templates.parts.states import RowRule, holds

STATES: Final = (
    RowRule("Mark, once", "mark_states", 'IF(COUNTIF(marks,{marks})>1,"Fails","Passes")', "Give it a mark of its own."),
    RowRule("Mass", "mass_states", holds("{door_masses}>={targets}"), "Add sheets or a heavier slab."),
    RowRule("Added", "added_states", holds("{added_thicknesses}<=makeup_most"), "Take a denser sheet in fewer layers."),
    RowRule("Clear width", "width_states", holds("{clear_widths}>=width_limit"), "Widen the door."),
    RowRule("Hanging", "hanging_states", holds("{door_masses}<=mass_limit"), "Heavy bearing hinges, frame to structure, a crew; or a pair.", 9),
    RowRule("STC", "stc_states", holds('IF({stc_wanted}="",1=1,{opening_stcs}>={stc_wanted})'), "Better seals, a pair, or a deeper lined space between."),
)


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of results."""
    mass, small, area = book.unit(MASS), book.unit(LENGTH), book.unit(AREA)
    makeup = "STILL_DOORMAKEUP({shortfalls},{widths},{heights},makeup_most,makeup_names,units)"
    # One number is the mass of each side: so the mean of the two stands for the sum a single door carries.
    side = 'IF(({sides_a}="")+({sides_b}=""),"",IF({kinds}="single",({sides_a}+{sides_b})/2,IF({sides_a}>{sides_b},{sides_a},{sides_b})))'
    columns = (
        Worked("Mark", "{marks}", 7, words=True),
        Worked("Room", 'IF({rooms}="","",{rooms})', 16, words=True),
        Worked(
            f"Area, {area}",
            f'IF(({{widths}}="")+({{heights}}=""),"",{{widths}}*{{heights}}/{book.pick("144", "10^6")})',
            7,
            "door_areas",
            book.pick(look.ONE, look.TWO),
        ),
        Worked(f"Least mass, {mass}", f"STILL_DOORTARGETMASS({side},{{widths}},{{heights}},{{kinds}},door_margin,units)", 8, "targets"),
        Worked(f"Slab, {mass}", 'IF({weighed}="",STILL_TOTALMASS({slabs},{door_areas},units),{weighed})', 8, "slab_masses"),
        Worked(f"Slab short by, {mass}", 'STILL_ADDEDMASS({targets},{slab_masses},"","",units)', 8, "shortfalls"),
        Worked(
            "Thinnest make-up", f'IF({{shortfalls}}<=0,"none needed",IFERROR(INDEX({makeup},2,1)&" × "&INDEX({makeup},2,2),"none thin enough"))', 29, words=True
        ),
        Worked(f"Added, {mass}", 'IF({added_sheets}="",0,STILL_TOTALMASS({added_sheets},{door_areas},units)*{added_layers})', 8, "added_masses"),
        Worked(f"Door, {mass}", "{slab_masses}+{added_masses}", 8, "door_masses", strong=True),
        Worked("Hinges", "STILL_HINGES({door_masses},{heights},units)", 7, "hinge_counts", look.WHOLE),
        Worked(
            f"Pull on the top one, {book.unit(FORCE)}",
            "INDEX(STILL_HINGELOAD({door_masses},{widths},{heights},{hinge_counts},units),1,1)",
            9,
            "hinge_pulls",
            look.WHOLE,
        ),
        Worked(
            f"Open gap, {book.unit(SMALL_AREA)}",
            "STILL_DOORLEAK({widths},{heights},door_gap,seal_share,units)",
            8,
            "door_leaks",
            book.pick(look.TWO, look.WHOLE),
        ),
        Worked(
            f"Added thickness, {small}",
            'IF({added_sheets}="",0,STILL_BUILDUPTHICKNESS({added_sheets},units)*{added_layers})',
            9.5,
            "added_thicknesses",
            book.pick(look.TWO, look.ONE),
        ),
        Worked(f"Clear width, {small}", filled("{widths}-slab_thickness-{added_thicknesses}", "widths"), 7.5, "clear_widths", book.pick(look.ONE, look.WHOLE)),
    )
    return schedule.page(
        "Doors",
        "A door passes sound like any other part of the wall: each of a pair matches its own leaf, a single one both leaves.",
        columns,
        note="Both doors of a pair are alike and match the heavier side. Make-ups are of the sheets on the Lists sheet, lead left out; layers "
        "lie over the whole face. The pull is that of a door at rest; slamming and closers add to it.",
        caution=HEAVY_DOORS,
        wide=False,
    )


def write_states(schedule: Schedule) -> Page:
    """Write the sheet that says what each row passes."""
    purpose = "Each door against the limits on the Inputs sheet and the STC wanted of it. A pass is not an approval."
    return states.write(schedule, purpose, STATES, 8, 80)
