"""Statements against Regulation (EC) No 1272/2008 as amended to 2025-09-01.

No package was found that carries the statements and would do as a reference, so the regulation's own
numbering (Annexes III and IV) and its label tables (Annex I) are written out here, apart from the data: codes
by the hundred as the annexes list them, signal words by hazard class and category. The numbering was taken from
a public copy of the consolidated text and not from the Official Journal; the label tables from memory. What is
tested is that none is missing, that none is ours alone, and that the signal word follows from the class. The texts
themselves are tested where the regulation makes one out of others.
"""

from __future__ import annotations

import pytest

from journalgen.knowledge.trade import HAZARD, PRECAUTION, statements

ANNEX_III = {
    "H2": "00 01 02 03 04 05 06 07 08 20 21 22 23 24 25 26 28 29 30 31 32 40 41 42 50 51 52 60 61 70 71 72 80 81 90",
    "H3": "00 01 02 04 10 11 12 14 15 17 18 19 30 31 32 34 35 36 40 41 50 51 60 61 62 70 71 72 73",
    "H4": "00 10 11 12 13 20",
    "EUH0": "14 18 19 29 31 32 44 66 70 71",
    "EUH2": "01 01A 02 03 04 05 06 07 08 09 09A 10 11 12",
    "EUH3": "80 81",
    "EUH4": "01 30 31 40 41 50 51",
}
ANNEX_III_COMBINED = [
    f"H30{n}+H31{n}{rest}" for n in range(3) for rest in ("", f"+H33{n}")
] + [f"H3{first}{n}+H33{n}" for n in range(3) for first in (0, 1)]  # fmt: skip
LETTERS = "H350i H360F H360D H360FD H360Fd H360Df H361f H361d H361fd"  # Annex VI, 1.1.2.1.2
ANNEX_VI_LETTERS = LETTERS.split()

ANNEX_IV = {
    "P1": "01 02 03",
    "P2": "01 02 10 11 12 20 22 23 30 31 32 33 34 35 40 41 42 43 44 50 51 60 61 62 63 64 70 71 72 73 80 82 83 84",
    "P3": "01 02 03 04 05 06 08 10 11 12 13 14 15 20 21 30 31 32 33 34 35 36 37 38 40 42 51 52 53 60 61 62 63 64 "
    "70 71 72 73 75 76 77 78 80 81 90 91",
    "P4": "01 02 03 04 05 06 07 10 11 12 13 20",
    "P5": "01 02 03",
}
COMBINED = """
P231+P232 P301+P310 P301+P312 P301+P330+P331 P302+P334 P302+P335+P334 P302+P352 P303+P361+P353 P304+P340
P305+P351+P338 P306+P360 P308+P311 P308+P313 P332+P313 P333+P313 P336+P315 P337+P313 P342+P311 P361+P364 P362+P364
P370+P372+P380+P373 P370+P376 P370+P378 P370+P380+P375 P370+P380+P375+P378 P371+P380+P375 P402+P404 P403+P233
P403+P235 P410+P403 P410+P412
"""
ANNEX_IV_COMBINED = COMBINED.split()

# Annex I: hazard class and category, the codes of its statements, by signal word
DANGER = {
    "explosives, unstable, 1.1 to 1.3, 1.5": "H200 H201 H202 H203 H205",
    "flammable gases 1A, 1B; unstable; pyrophoric": "H220 H221 H230 H231 H232",
    "aerosols 1": "H222 H229",
    "oxidising gases, liquids and solids 1, 2": "H270 H271 H272",
    "flammable liquids 1, 2": "H224 H225",
    "flammable solids 1": "H228",
    "self-reactive and peroxides A to D": "H240 H241 H242",
    "pyrophoric liquids and solids; self-heating 1": "H250 H251",
    "with water, flammable gas 1, 2": "H260 H261",
    "desensitised explosives 1, 2": "H206 H207",
    "acute toxicity 1 to 3": "H300 H301 H310 H311 H330 H331 "
    "H300+H310 H300+H330 H310+H330 H300+H310+H330 H301+H311 H301+H331 H311+H331 H301+H311+H331",
    "skin corrosion 1; eye damage 1": "H314 H318",
    "respiratory sensitisation 1; aspiration 1": "H334 H304",
    "mutagens, carcinogens, reproductive toxicants 1": "H340 H350 H350i H360 H360F H360D H360FD H360Fd H360Df",
    "organs, single and repeated, 1": "H370 H372",
    "endocrine disruption 1; PBT, vPvB, PMT, vPvM": "EUH380 EUH430 EUH440 EUH441 EUH450 EUH451",
}
WARNING = {
    "explosives 1.4": "H204",
    "flammable gases 2": "H221",
    "aerosols 2, 3": "H223 H229",
    "oxidising liquids and solids 3": "H272",
    "gases under pressure": "H280 H281",
    "flammable liquids 3; solids 2": "H226 H228",
    "self-reactive and peroxides E, F": "H242",
    "self-heating 2; with water 3": "H252 H261",
    "corrosive to metals": "H290",
    "desensitised explosives 3, 4": "H207 H208",
    "acute toxicity 4": "H302 H312 H332 H302+H312 H302+H332 H312+H332 H302+H312+H332",
    "skin 2; eyes 2; skin sensitisation": "H315 H319 H317",
    "mutagens, carcinogens, reproductive toxicants 2": "H341 H351 H361 H361f H361d H361fd",
    "organs, single 2 and 3, repeated 2": "H371 H335 H336 H373",
    "aquatic, acute 1 and chronic 1; ozone": "H400 H410 H420",
    "endocrine disruption 2": "EUH381 EUH431",
}

OURS = {found.code: found for found in statements().values() if found.standing == "clp"}


def written_out(numbers: dict[str, str]) -> set[str]:
    return {head + tail for head, tails in numbers.items() for tail in tails.split()}


def test_hazard_statements_h200_to_h420_are_complete() -> None:
    published = written_out({head: tails for head, tails in ANNEX_III.items() if head.startswith("H")})
    assert len(published) == 70
    ours = {code for code in OURS if code.startswith("H") and "+" not in code} - set(ANNEX_VI_LETTERS)
    assert ours == published


def test_combined_lettered_and_supplemental_hazard_statements_are_complete() -> None:
    assert len(ANNEX_III_COMBINED) == 12
    published = written_out(ANNEX_III) | set(ANNEX_III_COMBINED) | set(ANNEX_VI_LETTERS)
    assert {code for code, found in OURS.items() if found.kind == HAZARD} == published


def test_precautionary_statements_p101_to_p503_are_complete() -> None:
    published = written_out(ANNEX_IV) | set(ANNEX_IV_COMBINED)
    assert {code for code, found in OURS.items() if found.kind == PRECAUTION} == published


def test_the_signal_word_is_given_where_all_categories_of_a_code_agree() -> None:
    danger = {code for codes in DANGER.values() for code in codes.split()}
    warning = {code for codes in WARNING.values() for code in codes.split()}
    expected = dict.fromkeys(danger - warning, "danger") | dict.fromkeys(warning - danger, "warning")
    assert {code: found.signal for code, found in OURS.items() if found.signal} == expected
    assert {code for code, found in OURS.items() if found.kind == HAZARD and not found.signal} == (
        danger & warning
        | {"H362", "H411", "H412", "H413"}
        | {code for code in OURS if code.startswith(("EUH0", "EUH2")) or code == "EUH401"}
    )


UNLIKE_THEIR_PARTS = {
    "P302+P334": "keeps the wording from before P334 had brackets",
    "P361+P364": "joins two sentences",
    "P362+P364": "joins two sentences",
    "P370+P380+P375+P378": "brackets its last part",
}


@pytest.mark.parametrize("code", ANNEX_IV_COMBINED)
def test_a_combined_precaution_says_what_its_parts_say(code: str) -> None:
    joined = " ".join(OURS[part].text for part in code.split("+"))
    alike = OURS[code].text.casefold() == joined.casefold()
    assert alike == (code not in UNLIKE_THEIR_PARTS)


@pytest.mark.parametrize("code", ANNEX_III_COMBINED)
def test_a_combined_hazard_names_the_severity_and_every_route(code: str) -> None:
    parts = [OURS[part].text.rstrip(".") for part in code.split("+")]
    severity = parts[0].split()[0]
    assert OURS[code].text.startswith(severity)
    for part in parts:
        assert part.removeprefix(severity) in OURS[code].text
