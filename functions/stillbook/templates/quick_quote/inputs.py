"""What is typed: on the Quote sheet what differs from job to job, on the Usual sheet what an office sets once."""

from __future__ import annotations

from stillbook.quantities import LENGTH, MASS
from stillbook.templates.page import Book
from stillbook.templates.parts import input_sheet, inputs, job_inputs
from stillbook.workbook.job.inputs import InputSpec


def asked(book: Book) -> list[InputSpec]:
    """The facts of a telephone call, in the order in which they are asked."""
    return [
        *input_sheet.named(job_inputs.job(book), "client", "project", "reference", "estimate_date"),
        *input_sheet.named(inputs.room(book), "room_length", "room_width", "room_height"),
        *input_sheet.named(inputs.people(book), "people", "activity"),
        book.input("wall", "Walls and ceiling", "", "Two boards on each frame, filled", options="wall_names").saying("One of those on the Rates sheet."),
        *input_sheet.named(inputs.doors(book), "door_choice"),
        *input_sheet.named(inputs.air_source(book), "air_source", "fresh_share"),
        inputs.stc_target(book),
        *input_sheet.named(inputs.space(book), "space_length", "space_width", "space_height"),
        *input_sheet.named(inputs.room(book), "floor_capacity"),
    ]


def usual(book: Book) -> tuple[tuple[str, list[InputSpec]], ...]:
    """What an office sets once: the title of a part, and its inputs."""
    board, wood = book.pick("Gypsum board 5/8 in type X", "Gypsum board 15 mm"), book.pick("Plywood 3/4 in", "MDF 18 mm")
    return (
        ("Office", input_sheet.named(job_inputs.job(book), "prepared_by", "valid_days", "currency")),
        (
            "Shell",
            [
                *input_sheet.named(inputs.frames(book), "stud_depth", "frame_gap", "framing_mass", "wool_material"),
                *input_sheet.named(inputs.isolation(book), "cavity_fill", "flanking_limit"),
                book.input("deck_material_1", "Floor deck", "", wood, options="material_names", material=True).saying("Sheet material from the table."),
                book.input("deck_count_1", "Its sheets", "", 2, 1, 10, whole=True).saying("One on the other."),
                book.input("baffle_material_1", "Shell of the air boxes", "", board, options="material_names", material=True).saying("From the table."),
                *input_sheet.named(inputs.space(book), "working_room"),
                *input_sheet.named(inputs.people(book), "equipment_mass"),
            ],
        ),
        (
            "Doors",
            [
                *input_sheet.named(
                    inputs.doors(book), "door_width", "door_height", "slab_mass", "door_margin", "pair_makeup_material", "single_makeup_material"
                ),
                *input_sheet.named(inputs.doors(book), "makeup_most", "door_gap", "seal_share"),
                *input_sheet.named(inputs.isolation(book), "reveal_absorption"),
            ],
        ),
        (
            "Air",
            [
                *input_sheet.named(inputs.people(book), "space_type"),
                *input_sheet.named(inputs.air(book), "per_person", "least_airflow", "air_effectiveness", "altitude", "outdoor_co2", "co2_limit"),
                *input_sheet.named(inputs.air_source(book), "room_temperature"),
                *input_sheet.named(inputs.ducts(book), "quiet_speed", "duct_most_height", "duct_lining"),
                *input_sheet.named(inputs.baffle_boxes(book), "baffle_length"),
                book.input("box_depth_out", "Box, outside depth", LENGTH, (15, 380), (4, 100), (60, 1500)).saying("Off the shell it hangs on."),
                book.input("box_mass", "Box, mass", MASS, (280, 127), 0, (2000, 900)).saying("Lined; of two boards 200 lb (90 kg) and more."),
            ],
        ),
        (
            "From cost to price",
            [
                *input_sheet.named(job_inputs.price(book), "overhead", "contingency", "margin", "tax"),
                book.input("price_under", "The price may be lower by", "share", 0.1, 0, 0.5).saying("From the office's past jobs."),
                book.input("price_over", "The price may be higher by", "share", 0.2, 0, 1).saying("More, as a rule: what is not seen yet costs."),
            ],
        ),
    )
