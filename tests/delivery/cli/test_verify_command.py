"""``evenfire verify`` as a person types it: two answers, four exit codes, one sentence for what cannot be read."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from evenfire.delivery.cli.main import run
from evenfire.delivery.records.container import container_bytes
from evenfire.delivery.records.key_files import public_file, sealed_key
from evenfire.delivery.records.keys import PrivateKey, grouped
from evenfire.delivery.report.verify_json import VERIFY_SCHEMA
from tests.delivery.cli.test_commands import as_one_line, evenfire
from tests.delivery.records.signed_examples import ADA, BEN, STRANGER, history
from tests.delivery.records.test_container import FILE, ODD_FILES
from tests.delivery.records.test_verifying import CASES

VERIFIED, BAD_INPUT, NOT_JUDGED, DOES_NOT_VERIFY = 0, 2, 4, 5


def written(folder: Path, data: bytes) -> str:
    file = folder / "records.json"
    file.write_bytes(data)
    return str(file)


def key_file(folder: Path, name: str, key: PrivateKey) -> tuple[str, str]:
    file = folder / f"{name}.pem"
    file.write_bytes(public_file(key.public))
    return "--key", str(file)


def test_an_untouched_file_whose_signers_are_all_named_is_verified(tmp_path: Path) -> None:
    keys = (*key_file(tmp_path, "ada", ADA), *key_file(tmp_path, "ben", BEN))
    done = evenfire("verify", written(tmp_path, FILE), *keys)
    text = as_one_line(done.output)
    assert done.exit_code == VERIFIED
    assert "Records of Kiln Lane Laundry, No. 1" in text
    assert "VERIFIED: unchanged, and every signer is known." in text
    assert f"Its fingerprint is {grouped(ADA.public.fingerprint)}" in text, "who names a key has to compare it"
    assert "UNKNOWN" not in text


@pytest.mark.parametrize("keys", [(), ("ada",)])
def test_an_untouched_file_with_a_signer_whom_nobody_named_is_unchanged_and_not_judged(
    keys: tuple[str, ...], tmp_path: Path
) -> None:
    named = [part for name in keys for part in key_file(tmp_path, name, ADA)]
    done = evenfire("verify", written(tmp_path, FILE), *named)
    text = as_one_line(done.output)
    assert done.exit_code == NOT_JUDGED
    assert "Yes. 5 records from 2026-03-02 to 2026-08-30" in text
    unknown = f"Nobody here knows the key {grouped(BEN.public.fingerprint)}"
    assert f"UNKNOWN Somebody who signs as Ben Marsh, 1 record. {unknown}" in text
    assert "VERIFIED" not in text
    assert ("No key was given" in text) == (not keys)


def test_a_changed_record_is_named_with_its_date_and_what_to_do(tmp_path: Path) -> None:
    done = evenfire("verify", written(tmp_path, FILE.replace(b"misread", b"misraed")))
    text = as_one_line(done.output)
    amended = history()[-1]
    assert done.exit_code == DOES_NOT_VERIFY
    assert f"The signature does not fit amendment {amended.id[:12]} of 2026-08-30 (signed as Ada Field)" in text
    assert "Ask the signer for the record as it was signed." in text
    assert "DOES NOT VERIFY" in text


def test_a_file_that_is_broken_is_told_with_the_byte_and_the_path(tmp_path: Path) -> None:
    place = FILE.index(b"misread") + 3
    done = evenfire("verify", written(tmp_path, FILE[:place] + b'"' + FILE[place + 1 :]))
    text = as_one_line(done.output)
    assert done.exit_code == DOES_NOT_VERIFY
    assert f"byte {place + 2}" in text
    assert ".content.body.remark" in text
    assert "Nobody can be named" in text


def test_a_visit_that_is_gone_is_named(tmp_path: Path) -> None:
    made, _ = CASES["a visit removed between a record and its ancestors"]
    done = evenfire("verify", written(tmp_path, container_bytes(made())))
    joined = history()[3]
    assert done.exit_code == DOES_NOT_VERIFY
    assert f"follows {joined.id[:12]}, which is not in the file" in as_one_line(done.output)


def test_a_key_that_signed_nothing_makes_nobody_known(tmp_path: Path) -> None:
    done = evenfire("verify", written(tmp_path, FILE), *key_file(tmp_path, "stranger", STRANGER))
    assert done.exit_code == NOT_JUDGED


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("no-such-file",), "no-such-file cannot be read: No such file or directory."),
        ((), "Name a file of records, or a store with --store; there is none at "),
        (("--store", "no-such-store"), "There is no store at no-such-store."),
        (("{records}", "--key", "no-such-key"), "no-such-key cannot be read"),
        (("{records}", "--key", "{records}"), "holds no public key"),
        (("{records}", "--key", "{private}"), "This is a private key"),
    ],
)
def test_what_cannot_be_read_is_one_sentence(
    arguments: tuple[str, ...],
    told: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    private = tmp_path / "private.pem"
    private.write_bytes(sealed_key(ADA, "four words nobody says"))
    places = {"records": written(tmp_path, FILE), "private": str(private)}
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.argv", ["evenfire", "verify", *(each.format(**places) for each in arguments)])
    with pytest.raises(SystemExit) as end:
        run()
    assert end.value.code == BAD_INPUT
    error = capsys.readouterr().err
    assert told in error
    assert len(error.splitlines()) == 1
    assert not (tmp_path / "no-such-store").exists()


@pytest.mark.parametrize("name", ["untouched", *CASES, *ODD_FILES])
def test_the_json_keeps_its_schema_and_tells_what_the_text_tells(name: str, tmp_path: Path) -> None:
    files = {"untouched": FILE} | {name: data for name, (data, *_) in ODD_FILES.items()}
    data = files[name] if name in files else container_bytes(CASES[name][0]())
    file = written(tmp_path, data)
    done = evenfire("verify", file, "--json")
    told = json.loads(done.stdout)
    Draft202012Validator(VERIFY_SCHEMA).validate(told)
    assert told["exit_code"] == done.exit_code == (NOT_JUDGED if name == "untouched" else DOES_NOT_VERIFY)
    assert told["boilers"][0]["unchanged"] == (name == "untouched")
    text = evenfire("verify", file, width=100)
    assert text.exit_code == done.exit_code
    for problem in told["boilers"][0]["problems"][:1]:
        assert as_one_line(problem["what"]) in as_one_line(text.output)
    assert all(len(line) <= 100 for line in text.output.splitlines())


def test_signs_of_a_hostile_file_do_not_reach_the_terminal(tmp_path: Path) -> None:
    data = b'{"format":"evenfire.records/1","\\u001b[2Jx\xe2\x80\xae":[1.5],"boiler":"' + "\u202e".encode() + b'"}'
    done = evenfire("verify", written(tmp_path, data))
    assert done.exit_code == DOES_NOT_VERIFY
    assert "\x1b" not in done.output
    assert "\u202e" not in done.output


def test_a_file_is_verified_without_a_database_or_anything_else_that_loads_slowly(tmp_path: Path) -> None:
    program = (
        "import sys\n"
        f"sys.argv = ['evenfire', 'verify', {written(tmp_path, FILE)!r}]\n"
        "from evenfire.delivery.cli.main import run\n"
        "try:\n    run()\nexcept SystemExit as end:\n    code = end.code\n"
        "slow = {'sqlalchemy', 'numpy', 'numba', 'matplotlib', 'scipy', 'typst', 'PIL'}\n"
        "print(code, sorted(slow & {name.split('.')[0] for name in sys.modules}))\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == f"{NOT_JUDGED} []"
