"""How a value is written in a plant file."""

from datetime import date


def toml_value(value: object) -> str:
    """The TOML text of a simple value, a list or an inline table."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
        case dict():
            return "{ " + ", ".join(f"{key} = {toml_value(each)}" for key, each in value.items()) + " }"
        case list() | tuple():
            return "[" + ", ".join(toml_value(each) for each in value) + "]"
        case date():
            return value.isoformat()
        case _:
            return str(value)
