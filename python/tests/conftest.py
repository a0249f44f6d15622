"""Where samples and the program stand. All samples are invented."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session", autouse=True)
def at_the_root():
    """Paths in results are those that were given: both sides are given the same from the same folder."""
    before = os.getcwd()
    os.chdir(ROOT)
    yield
    os.chdir(before)


@pytest.fixture(scope="session")
def program():
    """The program, of which BANDLORE says where it is; without that, the one built beside."""
    named = os.environ.get("BANDLORE")
    built = ROOT / "target" / "debug" / "bandlore"
    found = named or (built if built.exists() else shutil.which("bandlore"))
    if not found:
        pytest.skip("no program to compare with: build it, or set BANDLORE")

    def run(*arguments):
        done = subprocess.run([found, "--quiet", *arguments], capture_output=True, cwd=ROOT)
        assert done.stdout or done.returncode == 0, done.stderr.decode()
        return done.stdout.decode()

    return run
