"""Each MUST of FORMAT.md and CONTAINER.md with the test that shows it; each test named is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SEAL, E2E, ATTACKS = "tests/unit/seal/test_seal_", "tests/e2e/test_e2e_", "tests/attacks/test_attacks"
RECORD, CARD, STATEMENTS = f"{SEAL}record.py", f"{SEAL}keycard.py", f"{SEAL}statements_verify.py"
VECTORS = f"{SEAL}vectors.py::test_each_vector_gives_the_code_it_is_named_by"
SECOND = f"{ATTACKS}_second_reader.py::test_a_record"
HANDOVER = f"{SEAL}handover.py"
EVIDENCE = f"{ATTACKS}_evidence.py::test_evidence_gives_the_code_it_is_named_by"
# Words of FORMAT.md, around each MUST; the test.
MUSTS: dict[str, str] = {
    "A checker for version 1 MUST accept every": (
        f"{RECORD}::test_members_of_a_later_minor_version_are_kept_and_ignored"
    ),
    "MUST refuse any other (`format-unknown`)": VECTORS,
    "and MUST ignore members": f"{RECORD}::test_members_of_a_later_minor_version_are_kept_and_ignored",
    "The payload MUST NOT have a member `aud`": VECTORS,
    "Every algorithm of the record's own `workshop.signatures` MUST be": (
        f"{STATEMENTS}::test_a_card_takes_nothing_off_what_the_record_calls_for"
    ),
    "A reader MUST refuse (`not-canonical`)": (
        "tests/unit/test_canonical.py::test_every_other_form_is_refused"
    ),
    "A higher s MUST be refused": VECTORS,
    "a reader MUST refuse more than 8 MiB": "tests/unit/test_canonical.py::test_depth_and_size_are_bounded",
    "Its protected header MUST be JCS": VECTORS,
    "which MUST be one of `workshop.keys`": VECTORS,
    "a checker MUST NOT fetch anything": f"{E2E}musts.py::test_a_check_opens_no_connection",
    "MUST have a signature; a signature of": f"{RECORD}::test_two_signatures_are_each_checked_by_themselves",
    "every key of `workshop.keys` MUST have signed": VECTORS,
    "that is there MUST hold": f"{RECORD}::test_two_signatures_are_each_checked_by_themselves",
    "MUST be answered `signature-missing`": f"{RECORD}::test_two_signatures_are_each_checked_by_themselves",
    "which is of the pages as they were signed, MUST NOT": (
        f"{E2E}altered.py::test_a_later_revision_that_cannot_be_read_for_certain_says_so"
    ),
    "It MUST then draw them again": f"{ATTACKS}.py::test_attack_on_a_dossier",
    "they MUST have the same payload": f"{ATTACKS}.py::test_attack_on_a_dossier",
    "Pages and results MUST say what is not in a copy": (
        f"{RECORD}::test_what_is_not_in_a_copy_is_counted_by_kind"
    ),
    "Its `name` MUST be that of the photograph": VECTORS,
    "A writer MUST NOT let the numbers of private photographs": (
        "tests/unit/account/test_account_payload.py"
        "::test_the_number_of_a_private_photograph_says_nothing_of_its_name"
    ),
    "a writer MUST NOT put a profile's own words": (
        "tests/unit/intake/test_intake_photo_clear.py::test_a_screens_own_name_is_not_recorded"
    ),
    "A writer MUST NOT name a photograph": "tests/unit/account/test_account_measured_on.py::test_names",
    "A check of a code MUST say that nothing else on the paper was checked, and MUST NOT say": (
        f"{E2E}musts.py::test_a_code_says_that_nothing_else_was_checked_and_never_that_it_is_current"
    ),
    "MUST NOT pass for the photograph whose name it has": (
        f"{E2E}altered.py::test_a_photograph_that_is_no_file_is_not_the_right_one"
    ),
    "dates, counts and job MUST be its own": VECTORS,
    "A writer MUST write version 2": (f"{SEAL}code.py::test_an_independent_cose_library_verifies_it"),
    "a checker MUST read both": VECTORS,
    "the first code that applies MUST be given": SECOND,
    "it MUST NOT answer check 7 with *matches*": (
        f"{E2E}saved_anew.py::test_of_a_file_saved_anew_by_another_program_the_record_is_checked"
    ),
    "A checker that leaves one out MUST answer": f"{E2E}dossier.py::test_checks_come_in_the_documented_order",
    "Every result, one for machines too, MUST also say": (
        f"{E2E}musts.py::test_every_result_says_what_no_check_can_tell"
    ),
    "so the last of them MUST be the signer's": (
        f"{E2E}time.py::test_no_bit_of_a_time_stamped_signature_changes_unnoticed"
    ),
    "the last of its certificates MUST be the signer's": (
        f"{E2E}time_inside.py::test_no_bit_of_a_time_stamp_put_in_changes_unnoticed"
    ),
    "and the pages MUST be drawn again and compared": f"{E2E}copy.py::test_a_page_edited_afterwards_is_named",
    "the result MUST NOT say more": (
        f"{E2E}musts.py::test_where_a_holders_pages_cannot_be_drawn_nothing_is_said_of_them"
    ),
    "An Ed25519 `x` MUST be in its one form": (
        f"{SEAL}published.py::test_no_ed25519_key_of_small_order_is_taken"
    ),
    "A signature made for one `typ` MUST be refused": (
        f"{CARD}::test_a_signature_for_another_kind_of_thing_is_no_cards"
    ),
    "Every key MUST be one of section 10": f"{CARD}::test_a_card_that_contradicts_itself_is_refused",
    "A card MUST be signed by every recovery key": (
        f"{CARD}::test_a_thief_of_the_day_to_day_key_makes_no_card"
    ),
    "It MUST be signed by one or more keys in use": (
        f"{CARD}::test_a_key_in_use_renews_a_card_and_nobody_else"
    ),
    "It MUST be signed by every key of both": f"{HANDOVER}::test_a_thief_hands_nothing_over",
    "MUST be `old` of the next": f"{HANDOVER}::test_handovers_that_do_not_lead_on_are_refused",
    "both of which MUST be those of the record": (
        f"{ATTACKS}_second_reader.py::test_a_record_with_its_card_and_what_was_said_later"
    ),
    "each of which MUST have signed": f"{SEAL}statements.py::test_two_signatures_both_have_to_hold",
    "for the day of the statement, MUST match": (
        f"{STATEMENTS}::test_one_signature_where_the_card_asks_for_two_changes_nothing"
    ),
    "The two MUST NOT be shown as equal": (
        f"{STATEMENTS}::test_a_picture_of_a_paper_is_compared_and_never_called_a_signature"
    ),
    "in a bag MUST look at the bags": f"{E2E}later.py::test_a_check_of_the_dossier_in_its_bag_is_told",
    "Evidence MUST first have the form of section 18": EVIDENCE,
    "it MUST pass over": EVIDENCE,
    "a node MUST NOT be missing or left over": EVIDENCE,
    "both roots MUST be those of `evidence`": EVIDENCE,
    "`previous` of each evidence MUST be": EVIDENCE,
}
# Those of CONTAINER.md are of a whole form: so its sections, which are that form, are named too.
CONTAINER = "tests/unit/container/test_container_"
CONTAINER_MUSTS: dict[str, str] = {
    "each certificate MUST be one of": f"{E2E}time_inside.py::test_what_is_kept_is_of_those_who_signed",
    "and each list MUST be": f"{E2E}time_inside.py::test_what_is_kept_is_of_those_who_signed",
    "A writer MUST write this form": f"{CONTAINER}read.py::test_what_was_written_is_found",
    "a checker MUST refuse any other": f"{CONTAINER}attacks.py::test_attack_is_named",
    "MUST put the revision together again": (
        f"{CONTAINER}time.py::test_the_file_is_in_order_and_begins_as_before"
    ),
    "and MUST refuse bytes that are not the same": (
        f"{CONTAINER}time.py::test_no_bit_outside_the_time_stamp_can_change"
    ),
}
CONTAINER_SECTIONS: dict[str, str] = {
    "1 The file": f"{CONTAINER}flips.py::test_every_kth_byte",
    "2 Values": f"{CONTAINER}values.py::test_another_text_for_a_value_is_refused",
    "3 Attachments": f"{CONTAINER}write.py::test_names_that_may_not_be",
    "4 The signature": f"{CONTAINER}flips.py::test_every_kth_byte_of_the_signature",
    "5 What may not be in it": f"{CONTAINER}attacks.py::test_every_code_has_an_attack",
    "6 Bounds": f"{CONTAINER}attacks.py::test_limits_hold",
    "7 Time-stamps put in later": f"{CONTAINER}time.py::test_nothing_else_may_follow",
}
# Rules for who writes FORMAT.md, and the sentence that says what the words mean.
FOR_AUTHORS = (
    "MUST, SHOULD and MAY are those of RFC 2119",
    "A later 1.x MUST NOT give a new meaning",
    "MUST NOT add places where something can be left out",
    "and MUST NOT add a member whose being ignored",
)


def text_of(name: str) -> str:
    return (ROOT / "schemas" / name).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "known"), [("FORMAT.md", (*MUSTS, *FOR_AUTHORS)), ("CONTAINER.md", tuple(CONTAINER_MUSTS))]
)
def test_every_must_has_a_test(name: str, known: tuple[str, ...]) -> None:
    rest = re.sub(r"\s+", " ", text_of(name))
    for words in known:
        assert rest.count(words) == 1, words
        rest = rest.replace(words, "")
    left = [rest[max(0, at.start() - 80) : at.end() + 60] for at in re.finditer("MUST", rest)]
    assert left == []


def test_every_section_of_the_layout_has_a_test() -> None:
    assert re.findall(r"^## (.+)$", text_of("CONTAINER.md"), re.MULTILINE) == [*CONTAINER_SECTIONS]


def test_every_test_named_is_there() -> None:
    for words, name in (MUSTS | CONTAINER_MUSTS | CONTAINER_SECTIONS).items():
        file, _, function = name.partition("::")
        assert f"def {function}(" in (ROOT / file).read_text(encoding="utf-8"), words
