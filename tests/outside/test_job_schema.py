"""`job.json` by its JSON schema, read by jsonschema (JSON Schema, draft 2020-12, IETF draft-bhutton-json-schema-01).

jsonschema is the reference implementation for Python; it knows nothing of cutprep.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from typer.testing import CliRunner

from cutprep.cli.app import app
from tests.recorded import every_sheet

ROOT = Path(__file__).parents[2]
SCHEMA = json.loads((ROOT / "docs" / "job.schema.json").read_text(encoding="utf-8"))
FORM = jsonschema.Draft202012Validator(SCHEMA)


def prepared(out: Path, *words: str | Path) -> dict[str, Any]:
    result = CliRunner().invoke(app, ["prepare", *map(str, words), "--effort", "quick", "--out", str(out)])
    assert result.exit_code == 0, result.output
    data: dict[str, Any] = json.loads((out / "job.json").read_text(encoding="utf-8"))
    return data


def test_the_schema_is_one() -> None:
    assert jsonschema.validators.validator_for(SCHEMA) is jsonschema.Draft202012Validator
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    with pytest.raises(jsonschema.SchemaError):
        jsonschema.Draft202012Validator.check_schema({**SCHEMA, "required": "title"})


@pytest.mark.parametrize(
    "words",
    [
        ("swing-tag.svg", "--copies", "30", "--also", "svg", "--explain"),
        ("divider.svg", "--machine", "belt-servo-400", "--language", "gcode"),
        ("hand-drawn/swing-tag.svg", "--despite-findings"),
    ],
)
def test_a_job_is_of_the_form_that_is_laid_down(words: tuple[str, ...], tmp_path: Path) -> None:
    data = prepared(tmp_path / "o", ROOT / "samples" / words[0], *words[1:])
    FORM.validate(data)
    assert len(every_sheet(data)) == data["runs"]


def test_the_schema_refuses_what_is_not_of_the_form(tmp_path: Path) -> None:
    """Each key is needed, and none may be added: a change of the form shows here first."""
    data = prepared(tmp_path / "o", ROOT / "samples" / "divider.svg")
    for key in data:
        with pytest.raises(jsonschema.ValidationError):
            FORM.validate({k: v for k, v in data.items() if k != key})
    with pytest.raises(jsonschema.ValidationError):
        FORM.validate({**data, "more": 1})


def test_the_page_explains_every_key(tmp_path: Path) -> None:
    page = (ROOT / "docs" / "JOB-JSON.md").read_text(encoding="utf-8")
    sheet = SCHEMA["properties"]["sheets"]["items"]["properties"]
    for key in (*SCHEMA["properties"], *sheet, *sheet["plan"]["properties"]):
        assert f"`{key}`" in page, key
