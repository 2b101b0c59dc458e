"""What is said about each step at the bench: a few words under its picture, and the whole of it for the handout."""

from __future__ import annotations

from typing import Final

from geometry.bench_steps import StepName

SHORT: Final[dict[StepName, str]] = {
    "mark": "Mark both faces, UP and the numbers",
    "first cut": "Saw the front line, back face down",
    "tape": "Shims in the slot, tape it round",
    "second cut": "A quarter turn; saw the side line",
    "front trims": "Front trims, flats together",
    "side trims": "Side trims, flats together",
    "numbered": "Four numbered quarters",
    "turned": "Half a turn each: corners to the middle",
    "halves": "Glue 1 to 2 and 3 to 4; join when flat",
    "glued": "Clamp with cauls; sand",
}

LONG_TITLE: Final[dict[StepName, str]] = {
    "mark": "Mark",
    "first cut": "First cut: the front line",
    "tape": "Tape it together again",
    "second cut": "Quarter turn, second cut: the side line",
    "front trims": "Front trims, flats together",
    "side trims": "Side trims, flats together",
    "numbered": "The four quarters",
    "turned": "Turn the quarters",
    "halves": "Glue two halves, then join them",
    "glued": "Clamp and sand",
}

LONG: Final[dict[StepName, tuple[str, ...]]] = {
    "mark": (
        "Check the bars of the template with a rule. Stick it on the front and the right face with the fold on their "
        "shared corner, or draw both lines from it now: a template bent into a sawn hollow comes out short.",
        "UP on every face, a triangle across the shared corner, the numbers 1 to 4 on the top end. Pencil a few short "
        "lines across both lines, so that the parts can be put back where they were.",
    ),
    "first cut": (
        "Back face down, front face up. Saw along the front line in one go from the foot to the top, without backing "
        "out; slower in the tight places. Nothing is waste: keep both halves.",
    ),
    "tape": (
        "Put the halves together with shims as thick as the kerf in the slot, pencil marks and ends in line, and tape "
        "them tightly right round in at least three places. Without shims the block is a kerf too narrow and rocks.",
    ),
    "second cut": (
        "Turn the block a quarter, so that the right face is up and the left face lies on the table. Saw the side line "
        "the same way, through tape and all.",
    ),
    "front trims": (
        "Part the stock along the front line only: 1 stays with 4, and 2 with 3. Carry 2 and 3 across until the "
        "outside flats meet, ends level, and tape it.",
        "Saw the trims in the order of their numbers. Number the offcuts, put them back with a shim of the kerf, and "
        "put the stock back square.",
    ),
    "side trims": (
        "Now part the stock along the side line only: 1 stays with 2, and 3 with 4. Carry 3 and 4 across until the "
        "outside flats meet, and saw these trims the same way. Then every offcut can go.",
    ),
    "numbered": (
        "Take it apart: four quarters, with their numbers and arrows. The two planed faces of each are its flats: they "
        "are the glue faces, so keep them clean and do not sand them.",
    ),
    "turned": (
        "Each quarter stays in its place and turns half round on its own length, arrow up: the blank's outside corner "
        "comes to the middle, and the sawn faces come out. Put the four together dry and look at the seams. Seen from "
        "behind, the piece stands as it was drawn.",
    ),
    "halves": (
        "Glue 1 to 2 and 3 to 4 first, flat to flat, with the ends level. When the glue has set, plane the two halves "
        "flat where they meet, and glue them together.",
        "Wax paper keeps the clamps off the glue; two small pins in the waste at the ends stop the parts from sliding.",
    ),
    "glued": (
        "The outside is curved and no waste is left to pad it. Saw clamping cauls from the same template, or wrap it "
        "in rubber bands or strong tape. 30 to 60 minutes in the clamps, a day before it is worked or loaded.",
        "Scrape or sand the sawn faces with 80 to 100 grit, then 120, 150, 180 and 220. Saw the ends square.",
    ),
}
