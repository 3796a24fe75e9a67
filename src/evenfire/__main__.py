"""``python -m evenfire`` is ``evenfire``."""

from evenfire.delivery.cli.main import run

if __name__ == "__main__":
    run()
