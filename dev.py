#!/usr/bin/env python3
"""The project's commands: `python3 dev.py COMMAND` (Windows: `py dev.py COMMAND`), nothing installed beforehand.

The environment is the folder .venv, filled from the lock files with every hash checked. A stamp, written last, says
what it was made from, so that a second call starts at once and an interrupted, moved or outdated one is made anew.
Only the standard library is used, and no syntax that an old Python cannot read: it has to print the refusal below.
"""

import errno
import hashlib
import importlib.util
import json
import os
import platform
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

OLDEST, NEWEST = (3, 11), (3, 14)
USAGE_STATUS = 2

if not OLDEST <= sys.version_info[:2] <= NEWEST:
    sys.stderr.write(
        "dev.py: this is Python {}.{}, and the project needs Python 3.11, 3.12, 3.13 or 3.14. Install one of them "
        "(Windows: 'winget install Python.Python.3.13'; macOS: 'brew install python@3.13'; Debian 12 and Ubuntu 24.04 "
        "or newer: 'apt-get install python3 python3-venv'), then start it by its number: 'python3.13 dev.py' "
        "(Windows: 'py -3.13 dev.py').\n".format(*sys.version_info[:2])
    )
    sys.exit(USAGE_STATUS)

import tomllib  # noqa: E402  (an old Python has to get as far as the refusal above)

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STAMP = VENV / "standoff-stamp.json"
# Each lock holds all that the one before it holds.
LOCKS = {"runtime": "requirements.lock", "dev": "requirements-dev.lock", "bench": "requirements-bench.lock"}
ROOM_NEEDED_BYTES = 1_500_000_000
# Two processes run the tests; threads of the linear algebra besides would only wait for one another.
ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1"}
COVERED_ROOMS = ("model", "solve", "bar")
NO_NETWORK_SIGNS = (
    "from versions: none",
    "NewConnectionError",
    "NameResolutionError",
    "ConnectTimeoutError",
    "ReadTimeoutError",
    "Read timed out",
    "ProxyError",
    "SSLError",
)


class Trouble(Exception):
    """Something the user has to mend; the text ends in what to do."""


def say(text: str) -> None:
    """Print one line of progress at once."""
    print(text, flush=True)


def in_venv(program: str, venv: Path = VENV) -> str:
    """Return the path of a program of an environment."""
    return str(venv / ("Scripts" if os.name == "nt" else "bin") / (program + (".exe" if os.name == "nt" else "")))


def surroundings(**additions: str) -> dict[str, str]:
    """Return the environment variables for a child: UTF-8 everywhere, and no packages but those of .venv."""
    kept = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME")}
    return {**kept, "PYTHONUTF8": "1", **additions}


def run(*command: str, **additions: str) -> int:
    """Run a program in the project's folder and return its exit status."""
    status = subprocess.call(command, cwd=ROOT, env=surroundings(**additions))
    return status if status >= 0 else 128 - status


# The environment


def origin() -> dict[str, str]:
    """Say what an environment depends on beside the locks: this Python and this folder."""
    version = f"{platform.python_implementation()} {platform.python_version()} {platform.machine()}"
    return {"python": version, "base": os.path.realpath(sys.base_prefix), "folder": str(ROOT)}


def fingerprint(level: str) -> str:
    """Hash what one level of the environment is made from: its locks, and what pyproject.toml says of installing."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    installing = [project["build-system"], project["project"], project["tool"]["hatch"]]
    digest = hashlib.sha256(json.dumps(installing, sort_keys=True).encode())
    for name in (LOCKS["runtime"], LOCKS[level]):
        digest.update((ROOT / name).read_bytes())
    return digest.hexdigest()


def installed_names() -> list[str]:
    """List what lies in the environment's package folder."""
    folder = VENV / ("Lib" if os.name == "nt" else "lib/python{}.{}".format(*sys.version_info[:2])) / "site-packages"
    return sorted(path.name for path in folder.iterdir())


def read_stamp() -> dict[str, object]:
    """Return what the environment says of itself; empty if it is missing, broken, or was made elsewhere."""
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
        whole = stamp["origin"] == origin() and set(stamp["names"]) <= set(installed_names())
        return dict(stamp["levels"]) if whole and Path(in_venv("python")).exists() else {}
    except (OSError, ValueError, KeyError, TypeError):
        return {}


def prepare(level: str) -> None:
    """Make sure that .venv holds the packages of the level, at the cost of one small file read when it does."""
    levels = read_stamp()
    if levels.get(level) == fingerprint(level):
        return
    free = shutil.disk_usage(ROOT).free
    if free < ROOM_NEEDED_BYTES:
        raise Trouble(
            f"the disk that holds {ROOT} has {free / 1e9:.1f} GB left and the environment needs "
            f"{ROOM_NEEDED_BYTES / 1e9:.1f} GB. Free some space, then run the same command again."
        )
    if levels and level not in levels and all(fingerprint(name) == of for name, of in levels.items()):
        STAMP.unlink()
    else:
        make_venv()
    say(f"dev.py: installing the packages of {LOCKS[level]} (from the network, or from pip's cache)")
    # A lock names all that is needed: nothing is left to resolve.
    pip("--no-deps", "--require-hashes", "--requirement", LOCKS[level])
    say("dev.py: installing the project itself")
    pip("--no-deps", "--no-build-isolation", "--editable", ".")
    done = {name: fingerprint(name) for name in list(LOCKS)[: list(LOCKS).index(level) + 1]}
    stamp = {"origin": origin(), "levels": done, "names": installed_names()}
    STAMP.write_text(json.dumps(stamp), encoding="utf-8")


def make_venv() -> None:
    """Make an empty environment, in place of whatever was there."""
    say(f"dev.py: making the environment .venv for Python {platform.python_version()}")
    if VENV.is_symlink() or VENV.is_file():
        VENV.unlink()
    elif VENV.exists():
        shutil.rmtree(VENV)
    VENV.mkdir()
    fill_venv(VENV)


def fill_venv(folder: Path) -> None:
    """Make an environment in an empty folder."""
    need_venv_module()
    # Started from inside the old .venv, the interpreter that runs this was just deleted; its base was not.
    base = getattr(sys, "_base_executable", None) or sys.executable
    if run(base, "-m", "venv", str(folder)) != 0:
        raise Trouble(
            "Python could not make an environment; its message stands above. Mend what it says, then run the same command again."
        )


def need_venv_module() -> None:
    """Install Debian's separate venv package when it is missing and we may; else say exactly how."""
    if importlib.util.find_spec("ensurepip") and importlib.util.find_spec("venv"):
        return
    numbered = "python{}.{}".format(*sys.version_info[:2])
    standard = os.path.basename(os.path.realpath("/usr/bin/python3")) == numbered
    package = "python3-venv" if standard else numbered + "-venv"
    if shutil.which("apt-get") is None or sys.base_prefix != "/usr":
        raise Trouble(
            "this Python lacks its modules 'venv' and 'ensurepip'. Install the package of your system that holds them "
            f"(often called {package}), or another Python 3.11 to 3.14, then run the same command again."
        )
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        say(f"dev.py: installing {package}, which Debian keeps apart from its Python")
        if apt_install(package):
            return
    raise Trouble(
        f"this Python lacks the modules that make an environment. Run 'apt-get install {package}' as root "
        f"(or 'sudo apt-get install {package}'), then run the same command again."
    )


def apt_install(package: str) -> bool:
    """Install a package of Debian as root, with fresh lists where the old ones do not serve; say whether it worked."""
    install = ("apt-get", "install", "-y", "-qq", package)
    if run(*install, DEBIAN_FRONTEND="noninteractive") == 0:
        return True
    return run("apt-get", "update", "-qq") == 0 and run(*install, DEBIAN_FRONTEND="noninteractive") == 0


def bring_browser() -> None:
    """Install Chromium for the browser tests where that can be done; elsewhere a missing browser fails with what to run."""
    if any(shutil.which(name) for name in ("chromium", "chromium-browser", "google-chrome", "microsoft-edge")):
        return
    if sys.platform == "linux" and shutil.which("apt-get") and os.geteuid() == 0:
        say("dev.py: installing chromium, which the browser tests drive")
        apt_install("chromium")


def pip(*arguments: str, venv: Path = VENV) -> None:
    """Install with pip, silent unless it fails; then everything it said, and what to do about it."""
    command = [in_venv("python", venv), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *arguments]
    environment = surroundings(PIP_USER="0", PIP_NO_INPUT="1")
    done = subprocess.run(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False)
    if done.returncode == 0:
        return
    said = done.stdout.decode("utf-8", errors="replace")
    sys.stderr.write(said)
    if "No space left on device" in said or "Errno 28" in said:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    if "DO NOT MATCH THE HASHES" in said:
        raise Trouble(
            "a package that arrived is not the one the lock file names; nothing of it was used. Run 'python3 -m pip "
            "cache purge', then the same command again; if it stays, the mirror you install from serves another file."
        )
    if any(sign in said for sign in NO_NETWORK_SIGNS):
        raise Trouble(
            "pip found no package source: there is no network here, or a proxy stands in the way. Connect this "
            "computer (behind a proxy set HTTPS_PROXY), then run the same command again; it is needed only once."
        )
    raise Trouble("pip could not install; its message stands above. Mend what it says, then run the same command again.")


# The commands


def demo(arguments: list[str]) -> int:
    """run the demonstration jobs; the exit status is the program's"""
    prepare("runtime")
    status = run(in_venv("python"), "-m", "standoff", "demo", *arguments)
    if status == 0:
        say(f"Here 'standoff' is {os.path.relpath(in_venv('standoff'), ROOT)}; 'dev.py serve' opens the pages.")
    return status


def serve(arguments: list[str]) -> int:
    """open the pages to work with at the machine"""
    prepare("runtime")
    return run(in_venv("python"), "-m", "standoff", "serve", *arguments)


def pictures(arguments: list[str]) -> int:
    """make the documentation's pictures of the pages anew, in a real browser"""
    prepare("dev")
    bring_browser()
    return run(in_venv("python"), "-m", "docs.screens", *arguments)


def test(arguments: list[str]) -> int:
    """run the tests; with arguments: what pytest makes of them, without measuring coverage"""
    prepare("dev")
    bring_browser()
    # What a file of tests has worked out is kept for its other tests, so that a file stays in one process.
    pytest = [in_venv("python"), "-m", "pytest", "-n", "2", "--dist", "loadfile"]
    if arguments:
        return run(*pytest, *arguments, **ONE_THREAD)
    rooms = [room for room in COVERED_ROOMS if has_modules(ROOT / "src" / "standoff" / room)]
    coverage = [f"--cov=standoff.{room}" for room in rooms]
    if rooms:
        coverage += ["--cov-branch", "--cov-fail-under=100", "--cov-report=term"]
    return run(*pytest, *coverage, "tests", **ONE_THREAD)


def has_modules(room: Path) -> bool:
    """Say whether a room holds more than its own __init__."""
    return any(path.name != "__init__.py" for path in room.glob("*.py"))


def prove(arguments: list[str]) -> int:
    """run the long proofs (tests marked 'prove'), with many more examples each"""
    prepare("dev")
    pytest = (in_venv("python"), "-m", "pytest", "-n", "2", "-m", "prove", "--hypothesis-profile=prove")
    status = run(*pytest, *(arguments or ["tests"]), **ONE_THREAD)
    if status == 5:
        say("dev.py: no test is marked 'prove', so nothing was proved. Mark one with @pytest.mark.prove.")
    return status


def bench(arguments: list[str]) -> int:
    """run the benchmarks; each prints a ratio"""
    script = ROOT / "benchmarks" / "run.py"
    if not script.is_file():
        raise Trouble("there are no benchmarks yet. Write benchmarks/run.py, then run this again.")
    prepare("bench")
    return run(in_venv("python"), str(script), *arguments)


def lint(arguments: list[str]) -> int:
    """check style, types, layers and dependencies"""
    if arguments:
        raise Trouble("lint takes no arguments. Run 'dev.py lint'.")
    prepare("dev")
    python = in_venv("python")
    checks = {
        "style": (python, "-m", "ruff", "check", "--output-format", "concise", "."),
        "format": (python, "-m", "ruff", "format", "--check", "."),
        "types": (python, "-m", "mypy"),
        "layers": (in_venv("lint-imports"), "--no-logo"),
        "dependencies": (python, "-m", "deptry", "--no-ansi", "src"),
    }
    failed = []
    for name, command in checks.items():
        say(f"dev.py: {name}")
        if run(*command) != 0:
            failed.append(name)
    say("dev.py: " + (f"mend what is said above of: {', '.join(failed)}" if failed else "all checks hold"))
    return 1 if failed else 0


def docs(arguments: list[str]) -> int:
    """make the generated pages anew: reference, validation, examples, pictures"""
    prepare("dev")
    return run(in_venv("python"), "-m", "docs.make_reference", *arguments)


def lock(arguments: list[str]) -> int:
    """make the lock files anew (developers; 'lock --upgrade' takes newer releases)"""
    with tempfile.TemporaryDirectory() as folder:
        uv = shutil.which("uv") or fetch_uv(Path(folder))
        compile_command = [uv, "pip", "compile", "--no-config", "--quiet", "--universal", "--generate-hashes"]
        compile_command += ["--no-header", "--no-annotate"]
        compile_command += ["--python-version", "{}.{}".format(*OLDEST), "pyproject.toml"]
        # Each is held to the one before, so that the tests run on exactly what the demo installs.
        levels = [("runtime", ["build"]), ("dev", ["dev", "--constraint", LOCKS["runtime"]])]
        levels += [("bench", ["bench", "--constraint", LOCKS["dev"]])]
        for level, choice in levels:
            say(f"dev.py: making {LOCKS[level]}")
            if run(*compile_command, "--group", *choice, *arguments, "--output-file", LOCKS[level]) != 0:
                raise Trouble("the lock could not be made; uv's message stands above. Mend what it says, then try again.")
            lines = (ROOT / LOCKS[level]).read_text(encoding="utf-8").splitlines()
            if any("://" in line or line.startswith("-") or " @ " in line for line in lines):
                raise Trouble(f"{LOCKS[level]} names an address. Unset the UV_ variables of your shell, then try again.")
    return 0


def fetch_uv(folder: Path) -> str:
    """Install uv, which only this command needs, into an environment that is thrown away."""
    say("dev.py: fetching uv")
    fill_venv(folder)
    pip("uv", venv=folder)
    return in_venv("uv", folder)


COMMANDS = {
    "demo": demo,
    "serve": serve,
    "test": test,
    "prove": prove,
    "bench": bench,
    "lint": lint,
    "docs": docs,
    "pictures": pictures,
    "lock": lock,
}


def explain(error: OSError) -> str:
    """Put a failure of the file system into a sentence that ends in what to do."""
    if error.errno == errno.ENOSPC:
        return "the disk is full. Free at least 1.5 GB, then run the same command again; it starts afresh."
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return (
            f"{error.filename or ROOT} cannot be written. Close programs that use it, or copy the project to a folder "
            "of your own, then run the same command again."
        )
    return f"{error}. Mend that, then run the same command again."


def main(arguments: list[str]) -> int:
    """Carry out one command and return the exit status."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    if not arguments or arguments[0] not in COMMANDS:
        say("usage: dev.py COMMAND [ARGUMENTS]\n")
        for name, command in COMMANDS.items():
            say(f"  {name:8} {command.__doc__}")
        if not arguments or arguments[0] in ("-h", "--help", "help"):
            return 0
        sys.stderr.write(f"\ndev.py: there is no command '{arguments[0]}'. Take one of those above.\n")
        return USAGE_STATUS
    try:
        return COMMANDS[arguments[0]](arguments[1:])
    except Trouble as trouble:
        sys.stderr.write(f"dev.py: {trouble}\n")
    except OSError as error:
        sys.stderr.write(f"dev.py: {explain(error)}\n")
    except KeyboardInterrupt:
        sys.stderr.write("dev.py: stopped. Run the same command again; what was half done is done anew.\n")
        return 130
    return USAGE_STATUS


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
