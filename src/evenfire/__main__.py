"""``python -m evenfire`` is ``evenfire``."""

from evenfire.delivery.start import run

if __name__ == "__main__":
    run()
