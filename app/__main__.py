"""The launcher: `python3 app` prepares an environment of its own, then starts buswalk in it.

Standard library only, and it parses under old Pythons, so that a wrong one gets a sentence in place of a syntax error.
"""

import hashlib
import os
import subprocess
import sys
import time

OLDEST_PYTHON = (3, 11)
HERE = os.path.dirname(os.path.abspath(__file__))
CHECKOUT = os.path.dirname(HERE)
STAMP = "buswalk-stamp.txt"
LOCK_STALE_S = 900.0
NO_SYSTEM_PACKAGES = "--no-system-packages"
VENV_PACKAGES = ("python3-venv",)
LIBMODBUS_PACKAGES = ("libmodbus5",)
WINDOW_LIBRARIES = {
    "libglib-2.0.so.0": "libglib2.0-0",
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libfontconfig.so.1": "libfontconfig1",
    "libdbus-1.so.3": "libdbus-1-3",
}
"""What Qt's widgets load of a Linux system, and in which Debian package it is."""
SCREEN_LIBRARIES = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
}
"""What it loads besides where the screen is an X server; its own message names only the first."""


class CannotStart(Exception):
    """Why it cannot start: one sentence with the command that mends it."""


def say(text):
    """Tell the person at the terminal; the program's own output stays clean."""
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


def require_python(version):
    """Refuse a Python that is too old."""
    if tuple(version[:2]) < OLDEST_PYTHON:
        wanted = ".".join(map(str, OLDEST_PYTHON))
        raise CannotStart(
            "buswalk needs Python %s or later, and this is %d.%d: install it and run 'python%s app'"
            % (wanted, version[0], version[1], wanted)
        )


def requirements(project_file, extras=()):
    """Return the dependencies that the project file lists, with those of some extras."""
    import tomllib

    with open(project_file, "rb") as file:
        project = tomllib.load(file)["project"]
    wanted = list(project["dependencies"])
    for extra in extras:
        wanted += project["optional-dependencies"][extra]
    return wanted


def stamp_of(wanted, version):
    """Return what tells whether an environment still fits: the dependencies and the Python."""
    text = "\n".join(wanted) + "\n%d.%d" % (version[0], version[1])
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def environment_folder(name, checkout=CHECKOUT):
    """Return where the environment goes: in the checkout, or where that is read-only in the user's data folder."""
    beside = os.path.join(checkout, name)
    if os.access(beside if os.path.isdir(beside) else checkout, os.W_OK):
        return beside
    if os.name == "nt":
        data = os.environ.get("LOCALAPPDATA") or os.path.expanduser("~")
    else:
        data = os.environ.get("XDG_DATA_HOME") or os.path.join(os.path.expanduser("~"), ".local", "share")
    which = hashlib.sha256(checkout.encode("utf-8")).hexdigest()[:8]
    folder = os.path.join(data, "buswalk", which + name)
    try:
        os.makedirs(os.path.dirname(folder), exist_ok=True)
    except OSError as reason:
        raise CannotStart(
            "neither %s nor %s can be written (%s): set XDG_DATA_HOME to a folder of yours" % (checkout, data, reason)
        )
    return folder


def python_of(folder):
    """Return the Python of an environment."""
    if os.name == "nt":
        return os.path.join(folder, "Scripts", "python.exe")
    return os.path.join(folder, "bin", "python")


def is_ready(folder, stamp):
    """Tell whether an environment is whole and fits; one whose base Python is gone does not."""
    try:
        with open(os.path.join(folder, STAMP)) as file:
            return file.read() == stamp and os.path.exists(python_of(folder))
    except OSError:
        return False


class Lock:
    """Keeps a second start from making the same environment at the same time."""

    def __init__(self, folder, wait_s=LOCK_STALE_S):
        self._path = folder + ".lock"
        self._wait_s = wait_s

    def __enter__(self):
        """Wait for a first start to finish, then hold the lock."""
        said = False
        give_up = time.time() + self._wait_s
        while True:
            try:
                os.close(os.open(self._path, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
                return self
            except FileExistsError:
                if self._is_stale():
                    self._remove()
                    continue
            if time.time() > give_up:
                raise CannotStart("another start holds %s: delete that file if none is running" % self._path)
            if not said:
                say("another start prepares the environment: waiting for it")
                said = True
            time.sleep(0.2)

    def __exit__(self, *_):
        """Give it back."""
        self._remove()

    def _is_stale(self):
        try:
            return time.time() - os.path.getmtime(self._path) > LOCK_STALE_S
        except OSError:
            return False

    def _remove(self):
        try:
            os.unlink(self._path)
        except OSError:
            pass


def make_environment(folder, wanted, stamp, may_install_system_packages):
    """Make the environment anew; a half-made one is thrown away."""
    require_ensurepip(may_install_system_packages)
    say("preparing buswalk's environment in %s (once; some minutes on a slow network)" % folder)
    run([sys.executable, "-m", "venv", "--clear", folder], "the environment cannot be made")
    say("installing %d packages" % len(wanted))
    command = [python_of(folder), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    wheels = os.path.join(CHECKOUT, "wheels")
    if os.path.isdir(wheels):
        command += ["--no-index", "--find-links", wheels]
    run(
        command + list(wanted),
        "the packages cannot be installed: connect to a network, or put their wheels into %s" % wheels,
    )
    with open(os.path.join(folder, STAMP), "w") as file:
        file.write(stamp)
    say("ready")


def run(command, sentence):
    """Run a command; if it fails, its own words and one sentence."""
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL)
    if done.returncode != 0:
        lines = done.stdout.decode("utf-8", "replace").strip().splitlines()
        said = "; ".join(lines[-2:])
        raise CannotStart("%s (%s)" % (sentence, said))


def require_ensurepip(may_install):
    """A bare Debian has no ensurepip; as root there it is installed, after saying so."""
    try:
        import ensurepip  # noqa: F401
    except ImportError:
        install_system_packages(VENV_PACKAGES, may_install, "Python here cannot make environments")


def install_system_packages(packages, may_install, why):
    """Install Debian packages as root, printing the command first; otherwise say the command."""
    command = ["apt-get", "install", "-y", "--no-install-recommends"] + list(packages)
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    if not (may_install and is_root and os.path.exists("/usr/bin/apt-get")):
        raise CannotStart("%s: run 'sudo %s'" % (why, " ".join(command)))
    say("%s; running: %s" % (why, " ".join(command)))
    run(["apt-get", "update"], "the package lists cannot be fetched")
    run(command, "the system packages cannot be installed")


def missing_libraries(platform, environment, load=None):
    """Return the system libraries of the window that this Linux lacks; its screen decides which it needs."""
    if not platform.startswith("linux"):
        return []
    if load is None:
        import ctypes

        load = ctypes.CDLL
    wanted = dict(WINDOW_LIBRARIES)
    if environment.get("DISPLAY") and environment.get("QT_QPA_PLATFORM", "xcb") == "xcb":
        wanted.update(SCREEN_LIBRARIES)
    missing = []
    for library in sorted(wanted):
        try:
            load(library)
        except OSError:
            missing.append(wanted[library])
    return missing


def require_window_libraries(may_install):
    """Install what the window needs of the system, or say the command; `find` and its like need none of it."""
    packages = missing_libraries(sys.platform, os.environ)
    if packages:
        install_system_packages(packages, may_install, "the window needs libraries that this system lacks")


def is_for_window(arguments):
    """Tell whether no command word is given: options alone belong to the window."""
    return not arguments or (arguments[0].startswith("-") and arguments[0] not in ("-h", "--help", "--version"))


def prepared(name, extras, may_install):
    """Return the Python of a ready environment, making it if needed."""
    wanted = requirements(os.path.join(CHECKOUT, "pyproject.toml"), extras)
    stamp = stamp_of(wanted, sys.version_info)
    folder = environment_folder(name)
    if not is_ready(folder, stamp):
        with Lock(folder):
            if not is_ready(folder, stamp):
                make_environment(folder, wanted, stamp, may_install)
    return python_of(folder)


def import_paths():
    """Return the folders from which the two packages are imported: they are never copied."""
    return [os.path.join(CHECKOUT, "app"), os.path.join(CHECKOUT, "simulators")]


def start(python, arguments):
    """Go on in the environment's Python; on Windows as a child, for there a replaced process loses its exit code."""
    environment = dict(os.environ)
    known = [path for path in environment.get("PYTHONPATH", "").split(os.pathsep) if path]
    environment["PYTHONPATH"] = os.pathsep.join(import_paths() + known)
    command = [python] + list(arguments)
    if os.name == "nt":
        return subprocess.call(command, env=environment)
    os.execve(python, command, environment)
    return 0


def main(arguments):
    """Prepare and start; return the exit status if it cannot."""
    may_install = NO_SYSTEM_PACKAGES not in arguments
    rest = [one for one in arguments if one != NO_SYSTEM_PACKAGES]
    try:
        require_python(sys.version_info)
        python = prepared(".venv", (), may_install)
        if is_for_window(rest):
            require_window_libraries(may_install)
    except CannotStart as reason:
        say(str(reason))
        return 3
    return start(python, ["-m", "buswalk.main"] + rest)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
