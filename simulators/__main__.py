"""`python3 simulators ...`: starts the simulated line's commands in the launcher's environment."""

import importlib.util
import os
import sys

LAUNCHER = os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "app", "__main__.py")


def load_launcher():
    """Return the launcher as a module; it does nothing when it is loaded."""
    spec = importlib.util.spec_from_file_location("buswalk_launcher", LAUNCHER)
    launcher = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(launcher)
    return launcher


def main(arguments):
    """Prepare and start."""
    launcher = load_launcher()
    try:
        launcher.require_python(sys.version_info)
        python = launcher.prepared(".venv", (), launcher.NO_SYSTEM_PACKAGES not in arguments)
    except launcher.CannotStart as reason:
        launcher.say(str(reason))
        return 3
    rest = [one for one in arguments if one != launcher.NO_SYSTEM_PACKAGES]
    return launcher.start(python, ["-m", "simulated_line.command"] + rest)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
