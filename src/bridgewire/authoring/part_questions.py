"""What is asked about contacts, cables, strips, splitters and igniter classes."""

from __future__ import annotations

from bridgewire.authoring.question import UNKNOWN, Question, Section
from bridgewire.authoring.question_wording import CONTACT_HELP, ID_HELP, TITLE_HELP, source_question

CONTACT = Section(
    "contact",
    "contact",
    (
        Question("id", "Short name of the contact", "id", ID_HELP, required=True),
        Question("title", "What is it", "text", TITLE_HELP),
        Question(
            "pairs", "How many mated pairs did you join in series", "whole",
            "One pair has too little resistance for a hand meter. Wire ten plugs and sockets in a "
            "chain, so that the current passes every pair, and read the whole chain.",
            least=1, most=1000,
        ),
        Question(
            "readings", "Readings of the chain, one for each time you mated it anew", "readings",
            "Read, part all pairs, mate them again, read again: three times at the least. Contacts "
            "differ more from mating to mating than from piece to piece.",
            unit="ohm", known="pairs", most=1000,
        ),
        Question(
            "wire_ohm", "Resistance of the wires within the chain", "quantity",
            "Read the same wires without the contacts, or short pieces of known cable: length "
            "times Ω per metre. 0 if they are negligible.",
            unit="ohm", known="readings", most=1000,
        ),
        Question(
            "rated_A", "Rated current of one contact", "number",
            "From its data sheet, for one contact of the plug with all contacts loaded.",
            unit="A", least=0.001, most=1000,
        ),
        source_question("contact"),
    ),
)  # fmt: skip

CABLE = Section(
    "cable",
    "cable",
    (
        Question("id", "Short name of the cable", "id", ID_HELP, required=True),
        Question("title", "What is it", "text", TITLE_HELP),
        Question(
            "metal", "Conductor metal, as the seller says", "choice",
            "Copper-clad aluminium is sold as CCA, mostly as cheap network cable. Scrape a cut end "
            "with a knife: copper is red all through, clad aluminium is silver inside.",
            choices=("copper", "copper-clad-aluminium", "aluminium"), required=True,
        ),
        Question(
            "stranding", "Conductors", "choice",
            "Solid: one wire in each conductor. Stranded: several thin ones.",
            choices=("solid", "stranded"), required=True,
        ),
        Question(
            "conductors", "How many conductors", "whole",
            "Count the insulated conductors at a cut end.", required=True, least=1, most=1000,
        ),
        Question(
            "size", "Size printed on the sheath", "size",
            "With its unit, as in 24 AWG or 0.5 mm2.",
        ),
        Question(
            "clad_copper_pct", "Copper share of the clad aluminium", "number",
            "By volume, from the data sheet: 10 or 15.",
            unit="%", only_if=("metal", ("copper-clad-aluminium",)), least=10, most=50,
        ),
        Question(
            "length_m", "Length of the piece that you measured, one way", "quantity",
            "The length of the cable itself, not there and back. Use the longest piece you have; "
            "read the metre marks on the sheath or pace it along a tape. A tolerance helps: 50 ± "
            "0.5.",
            unit="m", least=0.5, most=10000,
        ),
        Question(
            "loop", "Meter reading over two conductors that are joined at the far end", "reading",
            "Twist two conductors of the same thickness together at the far end, bare and tight, "
            "and put the meter across them at the near end. This is there and back; the division "
            "by two is done here.",
            unit="ohm", known="length_m", most=100000,
        ),
        Question(
            "at_C", "Temperature of the cable", "quantity",
            "Let the cable lie for an hour and read a room thermometer beside it. A drum in the "
            "sun is far warmer than the air.",
            unit="°C", known="loop", least=-40, most=80,
        ),
        Question(
            "max_length_m", "Longest single piece in the kit", "number",
            "The longest drum; a run that is longer needs a joint.", unit="m", least=0.1, most=1e5,
        ),
        Question(
            "insulation", "Insulation", "choice",
            "Printed on the sheath or in the data sheet. Ordinary flex and network cable is "
            "pvc-70.",
            choices=("pvc-70", "pvc-90", "xlpe", "rubber-60", "rubber-85", "silicone"),
        ),
        Question(
            "rated_A", "Steady current that one conductor may carry", "number",
            "From the data sheet, for the whole cable loaded.", unit="A", least=0.001, most=1000,
        ),
        source_question("cable"),
    ),
)  # fmt: skip

IGNITER = Section(
    "igniter_class",
    "igniter class",
    (
        Question("id", "Short name of the igniter class", "id", ID_HELP, required=True),
        Question("title", "What is it", "text", TITLE_HELP),
        Question(
            "kind", "Kind", "choice",
            "electric-match: lights in milliseconds. clip-on-nichrome: a hot wire that is clipped "
            "over a fuse, lights in seconds. bridge-igniter: others with a bridge wire.",
            choices=("electric-match", "bridge-igniter", "clip-on-nichrome"), required=True,
        ),
        Question(
            "readings", "Readings of whole igniters, cold, one for each piece", "readings",
            "Only with a meter whose test current is known to be far below the no-fire current, "
            "outdoors, the igniter in a steel pipe or behind a shield, nobody near it, and as the "
            "law and the maker demand. An ordinary hand meter may not be fit for it. Ten pieces "
            "are better than three.",
            unit="ohm", least=0.01, most=10000,
        ),
        Question(
            "lead_ohm", "Resistance of both leads of one igniter", "quantity",
            "Cut the leads off a spent one, join them at the far end and read, or work it out: "
            "twice the length times the Ω per metre of the wire.",
            unit="ohm", most=1000,
        ),
        Question(
            "bridge_ohm", "Bridge resistance of the data sheet", "quantity",
            "With its tolerance, without the leads: 1.5 to 1.8.",
            unit="ohm", only_if=("readings", (UNKNOWN,)), least=0.001, most=10000,
        ),
        Question(
            "no_fire_A", "No-fire current", "number",
            "Data sheet: the lasting current that fires not one in a thousand. Never tried out at "
            "home.",
            unit="A", least=0.0001, most=100,
        ),
        Question(
            "all_fire_A", "All-fire current", "number",
            "Data sheet: the current that fires all but one in a thousand. Not the current that "
            "the seller recommends, which is higher.",
            unit="A", least=0.0001, most=1000,
        ),
        Question(
            "all_fire_time_s", "How long the all-fire current must last", "number",
            "Data sheet, with the all-fire current.", unit="s", known="all_fire_A", least=1e-6,
            most=1000,
        ),
        Question(
            "impulse_mJ_per_ohm", "Firing impulse", "quantity",
            "Data sheet, in millijoule per Ω (the same as A² ms), least to largest: 3 to 5.",
            unit="mJ/ohm", least=1e-6, most=1e9,
        ),
        Question(
            "series_fire_A", "Firing current for several in series", "number",
            "Data sheet.", unit="A", least=0.0001, most=1000,
        ),
        Question(
            "after_fire", "What the bridge is after firing", "choice",
            "Read spent ones, cold: no reading is open; much less than before is shorted; another "
            "value is residual.",
            choices=("open", "shorted", "residual"),
        ),
        Question(
            "after_fire_ohm", "Its resistance after firing", "quantity",
            "Of several spent ones, the least to the largest: 0.1 to 0.6.",
            unit="ohm", only_if=("after_fire", ("shorted", "residual")), most=1e6,
        ),
        Question(
            "burn_open", "Heat at which the bridge parts, over the heat that lights", "quantity",
            "Above 1, from trials or the data sheet: 1.5 to 3. Few data sheets have it.",
            least=1.0001, most=1000,
        ),
        Question(
            "default_pulse_s", "Usual length of a pulse", "number",
            "From the maker's instructions.", unit="s", least=1e-6, most=3600,
        ),
        source_question("igniter"),
    ),
)  # fmt: skip

STRIP = Section(
    "strip",
    "strip",
    (
        Question("id", "Short name of the strip", "id", ID_HELP, required=True),
        Question("title", "What is it", "text", TITLE_HELP),
        Question("ways", "How many ways", "whole", "Count the terminals.", required=True, least=1,
                 most=1000),
        Question("through", "How many onward connectors", "whole",
                 "Sockets by which the next strip hangs on this one. 0 if there are none.",
                 most=100),
        Question("inlet_contact", "Contact of its inlet", "id", CONTACT_HELP),
        Question("through_contact", "Contact of its onward connectors", "id", CONTACT_HELP),
        Question("terminal_contact", "Contact of its terminals", "id", CONTACT_HELP),
        Question(
            "inner_ohm", "Resistance inside, one leg, inlet to terminal", "quantity",
            "Read from a pin of the inlet to its terminal, the meter's leads taken off. 0.005 to "
            "0.03, for instance.",
            unit="ohm", most=1000,
        ),
        Question("leads_per_terminal", "How many igniters one terminal takes", "whole",
                 "As many leads as sit firmly.", least=1, most=100),
        source_question("strip"),
    ),
)  # fmt: skip

SPLITTER = Section(
    "splitter",
    "splitter",
    (
        Question("id", "Short name of the splitter", "id", ID_HELP, required=True),
        Question("title", "What is it", "text", TITLE_HELP),
        Question("outlets", "How many outlets", "whole", "Count the sockets.", required=True,
                 least=1, most=1000),
        Question("inlet_contact", "Contact of its inlet", "id", CONTACT_HELP),
        Question("outlet_contact", "Contact of its outlets", "id", CONTACT_HELP),
        Question(
            "inner_ohm", "Resistance inside, one leg, inlet to outlet", "quantity",
            "Read from a pin of the inlet to that of an outlet, the meter's leads taken off.",
            unit="ohm", most=1000,
        ),
        source_question("splitter"),
    ),
)  # fmt: skip
