"""What all tests share: long counts for soak, and no silent skip where tests are the gate."""

import os
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

SOAK = os.environ.get("EVENFIRE_SOAK") == "1"
NO_SKIP = os.environ.get("EVENFIRE_NO_SKIP") == "1"

settings.register_profile(
    "test", max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile(
    "soak", max_examples=2_000, deadline=None, print_blob=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("soak" if SOAK else "test")


@pytest.fixture(scope="session", autouse=True)
def nobodys_own_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test reads or writes the store of whoever runs it."""
    with pytest.MonkeyPatch.context() as here:
        here.delenv("EVENFIRE_STORE", raising=False)
        here.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]):  # type: ignore[no-untyped-def]
    """Turn a skipped test into a failure where the tests are the gate."""
    report = yield
    if NO_SKIP and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped in {call.when}, and here a skipped test is a failure"
    return report
