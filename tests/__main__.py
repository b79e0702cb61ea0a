"""`python3 tests`: installs what the tests need, then lint, types, import contracts, house checks and pytest.

python3 tests [PATHS]           everything that must be green, under eight minutes on two cores
python3 tests long              what takes longer
python3 tests bench [NAME] [--json]
python3 tests pictures          the README's pictures
"""

import importlib.util
import os
import shutil
import subprocess
import sys
import time

CHECKOUT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
CODE = ["app", "simulators", "tests"]
LIBMODBUS_FILES = ("/usr/lib/%s-linux-gnu/libmodbus.so.5",)


def load_launcher():
    """Return the launcher as a module, for its environment-making."""
    spec = importlib.util.spec_from_file_location("buswalk_launcher", os.path.join(CHECKOUT, "app", "__main__.py"))
    launcher = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(launcher)
    return launcher


def install_libmodbus(launcher, may_install):
    """Install the independent peer where that is possible; without it its tests are skipped with a reason."""
    try:
        import ctypes

        ctypes.CDLL("libmodbus.so.5")
    except OSError:
        try:
            launcher.install_system_packages(
                launcher.LIBMODBUS_PACKAGES, may_install, "the tests compare with libmodbus, which is not here"
            )
        except launcher.CannotStart as reason:
            launcher.say(str(reason) + " (its tests are skipped without it)")


def install_virtual_screen(launcher, may_install):
    """Install an X server without a screen where that is possible; without it its test is skipped with a reason."""
    if not sys.platform.startswith("linux"):
        return
    packages = [] if shutil.which("Xvfb") else ["xvfb"]
    packages += launcher.missing_libraries(sys.platform, {"DISPLAY": ":0"})
    if not packages:
        return
    try:
        launcher.install_system_packages(
            packages,
            may_install,
            "one test opens the window on a virtual X server, which is not here",
        )
    except launcher.CannotStart as reason:
        launcher.say(str(reason) + " (its test is skipped without it)")


class Parts:
    """Runs the parts one after the other, all of them even when one fails, and says what each took."""

    def __init__(self, python, environment):
        self._python = python
        self._environment = environment
        self._took = []
        self.has_failed = False

    def run(self, name, arguments):
        """Run one part in the test environment."""
        began = time.time()
        sys.stdout.write("== %s\n" % name)
        sys.stdout.flush()
        code = subprocess.call([self._python] + arguments, cwd=CHECKOUT, env=self._environment)
        self._took.append((name, time.time() - began, code))
        self.has_failed = self.has_failed or code != 0

    def report(self, set_up_s):
        """Print what each part took; pytest's closing line stands above."""
        sys.stdout.write("== what it took (set-up %.0f s, apart)\n" % set_up_s)
        for name, seconds, code in self._took:
            sys.stdout.write("   %-18s %5.0f s  %s\n" % (name, seconds, "ok" if code == 0 else "FAILED"))
        sys.stdout.flush()


def test_environment(launcher):
    """Return the environment variables of the tests: the two packages by path, and no screen."""
    environment = dict(os.environ)
    environment["PYTHONPATH"] = os.pathsep.join(launcher.import_paths() + [CHECKOUT])
    environment.setdefault("QT_QPA_PLATFORM", "offscreen")
    return environment


def main(arguments):
    """Prepare the test environment and run what is asked for."""
    launcher = load_launcher()
    began = time.time()
    may_install = launcher.NO_SYSTEM_PACKAGES not in arguments
    rest = [one for one in arguments if one != launcher.NO_SYSTEM_PACKAGES]
    try:
        launcher.require_python(sys.version_info)
        python = launcher.prepared(".venv-tests", ("tests",), may_install)
        install_libmodbus(launcher, may_install)
        install_virtual_screen(launcher, may_install)
    except launcher.CannotStart as reason:
        launcher.say(str(reason))
        return 3
    set_up_s = time.time() - began
    environment = test_environment(launcher)
    if rest[:1] == ["bench"]:
        return subprocess.call([python, "-m", "tests.benchmarks.run"] + rest[1:], cwd=CHECKOUT, env=environment)
    if rest[:1] == ["pictures"]:
        return subprocess.call([python, "-m", "tests.pictures.draw"], cwd=CHECKOUT, env=environment)
    parts = Parts(python, environment)
    if rest[:1] == ["long"]:
        # One of them takes minutes: no stacks are dumped after two, which has ended the whole run before.
        parts.run("long", ["-m", "pytest", "-q", "-m", "long", "-o", "faulthandler_timeout=0"] + rest[1:])
    else:
        if not rest:
            parts.run("lint", ["-m", "ruff", "check"] + CODE)
            parts.run("format", ["-m", "ruff", "format", "--check"] + CODE)
            parts.run("types", ["-m", "mypy", "--strict", "app/buswalk", "simulators/simulated_line", "tests"])
            parts.run(
                "import contracts", ["-c", "import sys; from importlinter.cli import lint_imports_command as c; c()"]
            )
        # Two at a time, a file by one of them: many tests wait for other processes. Named paths run one by one.
        # Files keep the order of tests/conftest.py: by the count of their tests, those that take longest came last.
        two = [] if rest else ["-n", "2", "--dist", "loadfile", "--no-loadscope-reorder"]
        parts.run("tests", ["-m", "pytest", "-q", "-m", "not long"] + two + rest)
    parts.report(set_up_s)
    return 1 if parts.has_failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
