"""Doors: what each must weigh, what it weighs, its hinges and gap, and whether it passes."""

from __future__ import annotations

from stillbook.quantities import AREA, FORCE, LENGTH, MASS, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.cautions import HEAVY_DOORS
from stillbook.templates.parts.checks import row_state
from stillbook.templates.parts.schedule import Schedule, Worked


def columns(book: Book) -> tuple[Worked, ...]:
    """The columns, in order."""
    mass, small, area = book.unit(MASS), book.unit(LENGTH), book.unit(AREA)
    makeup = "STILL_DOORMAKEUP({shortfalls},{widths},{heights},makeup_most,makeup_names,units)"
    # One number is the mass of each side: so the mean of the two stands for the sum a single door carries.
    side = 'IF((sides_a="")+(sides_b=""),"",IF(kinds="single",(sides_a+sides_b)/2,IF(sides_a>sides_b,sides_a,sides_b)))'
    return (
        Worked("Mark", "marks", 7, words=True),
        Worked("Room", 'IF(rooms="","",rooms)', 16, words=True),
        Worked(f"Area, {area}", f'IF((widths="")+(heights=""),"",widths*heights/{book.pick("144", "10^6")})', 7, "door_areas", book.pick(look.ONE, look.TWO)),
        Worked(f"Least mass, {mass}", f"STILL_DOORTARGETMASS({side},widths,heights,kinds,door_margin,units)", 8, "targets"),
        Worked(f"Slab, {mass}", 'IF({weighed}="",STILL_TOTALMASS({slabs},{door_areas},units),{weighed})', 8, "slab_masses", each=True),
        Worked(f"Slab short by, {mass}", 'STILL_ADDEDMASS([targets],[slab_masses],"","",units)', 8, "shortfalls"),
        Worked(
            "Thinnest make-up",
            f'IF({{shortfalls}}<=0,"none needed",IFERROR(INDEX({makeup},2,1)&" × "&INDEX({makeup},2,2),"none thin enough"))',
            29,
            words=True,
            each=True,
        ),
        Worked(f"Added, {mass}", 'IF({added_sheets}="",0,STILL_TOTALMASS({added_sheets},{door_areas},units)*{added_layers})', 8, "added_masses", each=True),
        Worked(f"Door, {mass}", "slab_masses+added_masses", 8, "door_masses", strong=True),
        Worked("Hinges", "STILL_HINGES([door_masses],heights,units)", 7, "hinge_counts", look.WHOLE),
        Worked(
            f"Pull on the top one, {book.unit(FORCE)}",
            "INDEX(STILL_HINGELOAD([door_masses],widths,heights,[hinge_counts],units),0,1)",
            9,
            "hinge_pulls",
            look.WHOLE,
        ),
        Worked(
            f"Open gap, {book.unit(SMALL_AREA)}", "STILL_DOORLEAK(widths,heights,door_gap,seal_share,units)", 8, "door_leaks", book.pick(look.TWO, look.WHOLE)
        ),
        Worked(
            f"Added thickness, {small}",
            'IF({added_sheets}="",0,STILL_BUILDUPTHICKNESS({added_sheets},units)*{added_layers})',
            9.5,
            "added_thicknesses",
            book.pick(look.TWO, look.ONE),
            each=True,
        ),
        Worked(f"Clear width, {small}", "widths-slab_thickness-added_thicknesses", 7.5, "clear_widths", book.pick(look.ONE, look.WHOLE)),
    )


def _any(state: str) -> str:
    """Whether any rule of a row is in a state."""
    return "+".join(f'({rule}_states="{state}")' for rule in ("mark", "mass", "added", "width", "hanging", "stc"))


STATES = (
    Worked("Mark", "marks", 7, words=True),
    Worked("Mark, once", 'IF(COUNTIF(marks,{marks})>1,"Fails","Passes")', 8, "mark_states", words=True, each=True, states=True),
    Worked("Mass", row_state("{door_masses}>={targets}"), 8, "mass_states", words=True, each=True, states=True),
    Worked("Added", row_state("{added_thicknesses}<=makeup_most"), 8, "added_states", words=True, each=True, states=True),
    Worked("Clear width", row_state("{clear_widths}>=width_limit"), 8, "width_states", words=True, each=True, states=True),
    Worked("Hanging", row_state("{door_masses}<=mass_limit"), 9, "hanging_states", words=True, each=True, states=True),
    Worked("STC", row_state('IF({stc_wanted}="",1=1,{opening_stcs}>={stc_wanted})'), 8, "stc_states", words=True, each=True, states=True),
    Worked(
        "State",
        f'IF({_any("Error")},"Error",IF({_any("Waits")},"Waits",IF({_any("Fails")},"Fails","Passes")))',
        8,
        "row_states",
        words=True,
        states=True,
        strong=True,
    ),
    Worked(
        "What to do",
        'IF({row_states}="Passes","",IF({row_states}="Waits","An input of this row is missing.",'
        'IF({row_states}="Error","A cell of this row is an error, which has a reason.",'
        'IF({mark_states}="Fails","Give it a mark of its own. ","")'
        '&IF({mass_states}="Fails","Add sheets or a heavier slab. ","")'
        '&IF({added_states}="Fails","Take a denser sheet in fewer layers. ","")'
        '&IF({width_states}="Fails","Widen the door. ","")'
        '&IF({hanging_states}="Fails","Heavy bearing hinges, frame to structure, a crew; or a pair. ","")'
        '&IF({stc_states}="Fails","Better seals, a pair, or a deeper lined space between. ",""))))',
        80,
        words=True,
        each=True,
    ),
)


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of results."""
    return schedule.page(
        "Doors",
        "A door passes sound like any other part of the wall: each of a pair matches its own leaf, a single one both leaves.",
        columns(book),
        note="Both doors of a pair are alike and match the heavier side. Make-ups are of the sheets on the Lists sheet, lead left out; layers "
        "lie over the whole face. The pull is that of a door at rest; slamming and closers add to it.",
        caution=HEAVY_DOORS,
    )


def write_states(book: Book, schedule: Schedule) -> Page:
    """Write the sheet that says what each row passes."""
    return schedule.page("Row checks", "Each door against the limits on the Inputs sheet and the STC wanted of it. A pass is not an approval.", STATES)
