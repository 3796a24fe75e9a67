"""The JSON Schema of the plant file, for editors and for the reference page."""

from typing import Any

from evenfire.delivery.intake.document import Document


def plant_file_schema() -> dict[str, Any]:
    """The schema as a JSON value, with a description and an example of each key.

    It lets through what only the program can judge: whether a unit fits, and whether two tables contradict each other.
    """
    schema = Document.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema, "title": "Plant file of evenfire"}
