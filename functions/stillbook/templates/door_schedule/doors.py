"""Doors: what each must weigh, what it weighs, its hinges and gap, and whether it passes."""

# ruff: noqa: E501 - rows of a table stay whole

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Worked, widths


def columns(book: Book) -> tuple[Worked, ...]:
    """The columns, in order."""
    mass, small, area = book.pick("lb", "kg"), book.pick("in", "mm"), book.pick("ft²", "m²")
    makeup = "STILL_DOORMAKEUP({shortfalls},{widths},{heights},makeup_most,makeup_names,units)"
    # One number is the mass of each side: so the mean of the two stands for the sum a single door carries.
    side = 'IF((sides_a="")+(sides_b=""),"",IF(kinds="single",(sides_a+sides_b)/2,IF(sides_a>sides_b,sides_a,sides_b)))'
    return (
        Worked("Mark", "marks", 7, words=True),
        Worked("Room", 'IF(rooms="","",rooms)', 16, words=True),
        Worked(f"Area, {area}", f"widths*heights/{book.pick('144', '10^6')}", 7, "door_areas", book.pick(look.ONE, look.TWO)),
        Worked(f"Least mass, {mass}", f"STILL_DOORTARGETMASS({side},widths,heights,kinds,door_margin,units)", 8, "targets"),
        Worked(f"Slab, {mass}", 'IF({weighed}="",STILL_TOTALMASS({slabs},{door_areas},units),{weighed})', 8, "slab_masses",
               each=True),
        Worked(f"Slab short by, {mass}", 'STILL_ADDEDMASS([targets],[slab_masses],"","",units)', 8, "shortfalls"),
        Worked("Thinnest make-up", f'IF({{shortfalls}}<=0,"none needed",IFERROR(INDEX({makeup},2,1)&" × "&INDEX({makeup},2,2),'
               '"none thin enough"))', 29, words=True, each=True),
        Worked(f"Added, {mass}", 'IF({added_sheets}="",0,STILL_TOTALMASS({added_sheets},{door_areas},units)*{added_layers})', 8,
               "added_masses", each=True),
        Worked(f"Door, {mass}", "slab_masses+added_masses", 8, "door_masses", strong=True),
        Worked("Hinges", "STILL_HINGES([door_masses],heights,units)", 7, "hinge_counts", look.WHOLE),
        Worked(f"Pull on the top one, {book.pick('lbf', 'N')}",
               "INDEX(STILL_HINGELOAD([door_masses],widths,heights,[hinge_counts],units),0,1)", 9, "hinge_pulls", look.WHOLE),
        Worked(f"Open gap, {book.pick('in²', 'mm²')}", "STILL_DOORLEAK(widths,heights,door_gap,seal_share,units)", 8,
               "door_leaks", book.pick(look.TWO, look.WHOLE)),
        Worked(f"Added thickness, {small}",
               'IF({added_sheets}="",0,STILL_BUILDUPTHICKNESS({added_sheets},units)*{added_layers})', 9.5,
               "added_thicknesses", book.pick(look.TWO, look.ONE), each=True),
        Worked(f"Clear width, {small}", "widths-slab_thickness-added_thicknesses", 7.5, "clear_widths",
               book.pick(look.ONE, look.WHOLE)),
    )  # fmt: skip


STATES = (
    Worked("Mark", "marks", 7, words=True),
    Worked("Mark, once", 'IF(COUNTIF(marks,{marks})>1,"Fails","Passes")', 8, "mark_states", words=True, each=True,
           states=True),
    Worked("Mass", 'IFERROR(IF(door_masses>=targets,"Passes","Fails"),"Waits")', 8, "mass_states", words=True, states=True),
    Worked("Added", 'IFERROR(IF(added_thicknesses<=makeup_most,"Passes","Fails"),"Waits")', 8, "added_states", words=True,
           states=True),
    Worked("Clear width", 'IFERROR(IF(clear_widths>=width_limit,"Passes","Fails"),"Waits")', 8, "width_states", words=True,
           states=True),
    Worked("Hanging", 'IFERROR(IF(door_masses<=mass_limit,"Passes","Fails"),"Waits")', 9, "hanging_states", words=True,
           states=True),
    Worked("STC", 'IFERROR(IF(stc_wanted="","Passes",IF(opening_stcs>=stc_wanted,"Passes","Fails")),"Waits")', 8,
           "stc_states", words=True, states=True),
    Worked("State", 'IF((mass_states="Waits")+(added_states="Waits")+(width_states="Waits")+(hanging_states="Waits")'
           '+(stc_states="Waits"),"Waits",IF((mark_states="Fails")+(mass_states="Fails")+(added_states="Fails")'
           '+(width_states="Fails")+(hanging_states="Fails")+(stc_states="Fails"),"Fails","Passes"))', 8, "row_states",
           words=True, states=True, strong=True),
    Worked("What to do", 'IF({row_states}="Passes","",IF({row_states}="Waits","An input of this row is missing or wrong.",'
           'IF({mark_states}="Fails","Give it a mark of its own. ","")'
           '&IF({mass_states}="Fails","Add sheets or a heavier slab. ","")'
           '&IF({added_states}="Fails","Take a denser sheet in fewer layers. ","")'
           '&IF({width_states}="Fails","Widen the door. ","")'
           '&IF({hanging_states}="Fails","Heavy bearing hinges, frame to structure, a crew; or a pair. ","")'
           '&IF({stc_states}="Fails","Better seals, a pair, or a deeper lined space between. ","")))', 80, words=True, each=True),
)  # fmt: skip


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of results."""
    shown = columns(book)
    page = book.page(
        "Doors",
        "A door passes sound like any other part of the wall: each of a pair matches its own leaf, a single one both leaves.",
        widths(shown),
        wide=True,
        single=True,
    )
    schedule.write(page, shown)
    page.note(
        "Both doors of a pair are alike and match the heavier side. Make-ups are of the sheets on the Lists sheet, lead left out; layers "
        "lie over the whole face. The pull is that of a door at rest; slamming and closers add to it."
    )
    page.caution(
        "Caution: doors of this weight need a crew, frames fixed to structure and hinges rated for the load. Lead: local rules, "
        "gloves, no sanding. A door must open from inside without a key; width and way out are for the local code. A person who lies behind "
        "a door that opens inward blocks rescue: open it outward, or let it come off from outside."
    )
    page.finish()
    return page


def write_states(book: Book, schedule: Schedule) -> Page:
    """Write the sheet that says what each row passes."""
    page = book.page(
        "Row checks",
        "Each door against the limits on the Inputs sheet and the STC wanted of it. A pass is not an approval.",
        widths(STATES),
        wide=True,
        single=True,
    )
    schedule.write(page, STATES)
    page.finish(page.at - 1)
    return page
