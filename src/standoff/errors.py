"""Every exception of the package, its stable code, and what it means at the two edges.

One sentence is composed from the fields of an error and ends in the next action. Input errors can be turned into
`Problem`s, which say where in a file they arose; a job file's problems are collected and raised together.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType

CODES: Mapping[str, str] = MappingProxyType(
    {
        "internal": "a fault of the program itself",
        "usage": "a function or command used in a way it does not offer",
        "layout-question": "a question about the layout that cannot be asked",
        "job-file-invalid": "a job file with one or more problems",
        "file-missing": "a file that is not there",
        "file-unwritable": "a file that cannot be written",
        "file-exists": "a file that is there already and would be overwritten",
        "file-too-large": "a file larger than any job file",
        "file-encoding": "a file that is not UTF-8 text",
        "file-syntax": "a file that is not TOML",
        "file-format": "a file of another kind",
        "file-newer": "a file made by a newer version of the program",
        "key-missing": "a key or table that must be there and is not",
        "key-unknown": "a key the table does not have",
        "value-kind": "a value of another kind than the key takes",
        "value-choice": "a word that is not among those the key takes",
        "value-sign": "a length that is negative or zero where it cannot be",
        "name-twice": "a name used twice where each must be its own",
        "headstock-modes": "modes that do not go with the kind of headstock",
        "z-forward-missing": "a survey that does not say which end of Z is the rear",
        "z-order": "Z limits contrary to the direction stated",
        "bar-change-outside": "a bar change position outside the headstock's travel",
        "bar-too-long": "a bar longer than the loader takes",
        "range-reversed": "a range whose lowest value exceeds its highest",
        "nose-lengths": "lengths of a nose that contradict each other",
        "nose-kind": "a length that the other kind of nose has",
        "nose-entry": "an engagement that does not go with the entry depth",
        "mode-unknown": "a mode the lathe does not have",
        "station-unknown": "a station that does not exist",
        "station-twice": "a distance from a station to itself",
        "standoff-missing": "a check across lathe and loader without the standoff at which it was read",
        "reading-exact": "a reading to be weighed against others that has no uncertainty",
        "reading-of-what": "a return reading that does not say what was read",
        "field-unknown": "a field of the job file that is not there",
        "fitting-unknown": "a fitting the job does not have",
        "currency-missing": "a price without a currency",
        "rule-order": "a preferred margin smaller than the least one",
        "length-empty": "an empty length",
        "length-too-long": "a length of more than 64 characters",
        "length-too-large": "a length above 1 km",
        "length-not-finite": "a length that is not a finite number",
        "length-exponent": "a length written with an exponent",
        "length-without-number": "a unit without a number",
        "length-without-unit": "a number without a unit",
        "length-character": "a character that does not belong in a length",
        "length-sign-inside": "a sign inside a length",
        "length-unit-unknown": "an unknown unit of length",
        "length-unit-ambiguous": "a unit whose capitals leave its meaning open",
        "length-mixed-systems": "inches or feet mixed with metric units",
        "length-parts": "parts of a length that do not go together",
        "length-two-numbers": "two numbers with one unit",
        "length-separators": "a number with more than one comma or point",
        "length-comma-ambiguous": "a comma followed by exactly three digits",
        "length-number": "a number that cannot be read",
        "length-decimal-with-fraction": "a decimal number mixed with a fraction",
        "length-fraction-improper": "a mixed number whose fraction is one or more",
        "length-zero-denominator": "a fraction whose denominator is zero",
        "length-feet-not-whole": "feet that are not whole beside inches",
        "length-inches-beside-feet": "twelve inches or more beside feet",
        "quantity-form": "a quantity that is neither text nor a table of known shape",
        "quantity-list-empty": "a list without a reading",
        "quantity-key-unknown": "an unknown key in a quantity",
        "quantity-value-missing": "a quantity without a value",
        "uncertainty-form": "an uncertainty written in an unknown form",
        "uncertainty-twice": "more than one uncertainty for one reading",
        "uncertainty-negative": "a negative uncertainty",
        "source-unknown": "an unknown source of a reading",
        "magnitude-form": "a speed, force, mass or the like that is not written as text",
        "magnitude-number": "a speed, force, mass or the like whose number cannot be read",
        "magnitude-without-unit": "a speed, force, mass or the like without its unit",
        "magnitude-unit": "a unit that does not belong to what is asked for",
        "magnitude-comma": "a comma followed by exactly three digits, where a point may be meant",
        "magnitude-too-large": "a speed, force, mass or the like beyond all machines",
        "magnitude-zero": "a speed, force, mass or the like of 0 where it cannot be",
        "material-unknown": "a material that is not on the list and comes without density and modulus",
        "turned-thicker": "a diameter turned from a bar that is thinner",
        "speed-twice": "a wanted speed given in two ways at once",
        "speed-incomplete": "a cutting speed without the diameter it is for, or the reverse",
        "straightness-twice": "a straightness given as a figure and by a standard",
        "straightness-incomplete": "a straightness by a standard that is not told whole",
        "bar-unknown": "a bar the job does not have",
        "channel-short": "a channel shorter than the bar it is to hold",
        "part-too-long": "a part that its bar does not hold once",
        "past-cut-off": "a collet or pusher that would come to the cut-off plane",
        "loaded-ahead": "a bar loaded ahead of the gripper",
        "cut-too-wide": "a cut-off tool wider than the part is long",
        "last-cut-outside": "a last cut-off outside the headstock's travel",
        "said-twice": "the same thing said in two ways",
        "share-range": "a share beyond what is ever advised",
        "support-kind": "a key that does not go with the kind of support",
        "site-check": "a reading on site that does not say what is needed of it",
        "time-form": "a day or a time of day that cannot be read",
        "time-ahead": "a time that has not come yet",
        "plan-impossible": "a plan for the run-off that cannot be passed, or that a million bars would not show",
        "part-unknown": "a part the job does not have",
        "run-unknown": "a run that was not agreed",
        "signal-unknown": "a row that the signal test sheet does not have",
        "bar-untallied": "a bar that the tally does not have",
        "remnant-beyond": "a remnant or part as long as its bar",
        "frame-shape": "feet or side screws that do not hold a frame",
        "reading-kind": "a key that does not go with this kind of reading",
        "instrument-unknown": "an instrument the job does not have",
        "off-the-wire": "a place that is not on the wire",
        "level-open": "readings that leave open where the loader lies",
        "plan-kind": "a file that is no floor plan the program can read",
        "plan-large": "a floor plan larger than any building's",
        "plan-broken": "a floor plan whose contents cannot be read",
        "plan-unit": "a floor plan whose unit of length is not certain",
        "plan-layer": "a layer the floor plan does not have",
        "plan-empty": "a floor plan without a line that can be used",
        "item-unknown": "an item the floor does not have",
        "shift-of-what": "a shift of something that does not stand with the loader",
        "extent-reversed": "two ends that leave nothing between them",
        "extent-beside": "an end that the side of an item does not have",
        "height-order": "a top that is not above its underside",
        "beyond-survey": "a part of the loader that reaches farther than the survey says",
        "hinge-side": "a hinge at an end that the side does not have",
        "hinge-outside": "a hinge outside the side of its item",
        "joint-point": "a joint of the slab without a length",
        "wall-twice": "two distances to what closes the axis behind the lathe",
        "place-twice": "two feet in one place",
        "mass-missing": "masses on the feet without one that stays",
        "reference-unknown": "a reference point the job does not have",
        "reference-same": "a baseline from a point to itself",
        "axis-order": "marks of the axis that are exchanged",
        "store-newer": "a database made by a newer version of the program",
        "store-foreign": "a database of another program",
        "store-damaged": "a database whose contents cannot be read",
        "store-locked": "a database that another program keeps locked",
        "store-read-only": "a database that cannot be written",
        "store-full": "a disk without room for the database",
        "store-unreachable": "a database that cannot be reached",
        "store-driver": "a database whose driver is not installed",
        "store-failed": "a database that answered with an error",
        "job-unknown": "a job the database does not have",
        "revision-unknown": "a revision the job does not have",
        "revision-stale": "a revision that somebody else has written meanwhile",
    }
)
"""Every stable code and its one-line meaning."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with an input, where it stands, and what to do next."""

    code: str
    file: str
    line: int | None
    field: str
    found: str
    expected: str
    action: str

    def sentence(self) -> str:
        """The problem in one sentence that ends in the next action."""
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        where = " ".join(part for part in (place, self.field) if part)
        return f"{where}: {_told(self)}" if where else _told(self)


class StandoffError(Exception):
    """Root of all errors of the package: what was found, what was expected, what to do next."""

    code: str = "internal"

    def __init__(self, *, found: str, expected: str, action: str) -> None:
        self.found = found
        self.expected = expected
        self.action = action
        super().__init__(_told(self))

    def problem(self, *, file: str = "", line: int | None = None, field: str = "") -> Problem:
        """The error as a problem at a place in a file."""
        return Problem(self.code, file, line, field, self.found, self.expected, self.action)


class QuantityError(StandoffError, ValueError):
    """A quantity that cannot be read. `where` names the part of it, such as `[1].uncertainty` (empty: the whole)."""

    def __init__(self, code: str, *, given: str, expected: str, action: str, what: str | None = None, where: str = "") -> None:
        self.code = code
        self.given = given
        self.what = CODES[code] if what is None else what
        self.where = where
        super().__init__(found=f"{given}, {self.what}", expected=expected, action=action)

    def __str__(self) -> str:
        told = super().__str__()
        return f"{self.where.lstrip('.')}: {told}" if self.where else told

    def within(self, part: str) -> QuantityError:
        """The same error seen from the whole of which `part` (`.uncertainty`, `[1]`) is a part."""
        return QuantityError(
            self.code,
            given=self.given,
            expected=self.expected,
            action=self.action,
            what=self.what,
            where=part + self.where,
        )

    def problem(self, *, file: str = "", line: int | None = None, field: str = "") -> Problem:
        """The error as a problem at a place in a file; `where` is appended to the field."""
        return Problem(self.code, file, line, field + self.where, self.found, self.expected, self.action)


class JobFileError(StandoffError, ValueError):
    """A job file that cannot be used: all its problems together, in file order."""

    code = "job-file-invalid"

    def __init__(self, problems: Collection[Problem]) -> None:
        self.problems = tuple(problems)
        count = len(self.problems)
        super().__init__(
            found="1 problem" if count == 1 else f"{count} problems",
            expected="a job file without problems",
            action="mend what each line names",
        )

    def __str__(self) -> str:
        return "\n".join(problem.sentence() for problem in self.problems)


class PlanFileError(StandoffError, ValueError):
    """A building's floor plan that cannot be used."""

    def __init__(self, code: str, *, file: str, found: str, expected: str, action: str) -> None:
        self.code = code
        self.file = file
        super().__init__(found=f"{shown(file)}, {found}", expected=expected, action=action)


class LayoutError(StandoffError, ValueError):
    """A question about the layout that cannot be asked, such as one about a station it does not have."""

    code = "layout-question"

    def __init__(self, *, what: str, given: str, allowed: str, action: str = "choose one of those") -> None:
        self.what = what
        self.given = given
        self.allowed = allowed
        super().__init__(found=f"{what} {given}", expected=allowed, action=action)


class UsageError(StandoffError, ValueError):
    """A function or command used in a way it does not offer."""

    code = "usage"

    def __init__(self, *, what: str, given: str, allowed: str, action: str = "choose one of those") -> None:
        self.what = what
        self.given = given
        self.allowed = allowed
        super().__init__(found=f"{what} {given}", expected=allowed, action=action)


class MissingFileError(StandoffError, FileNotFoundError):
    """A file that is not there."""

    code = "file-missing"

    def __init__(self, file: str) -> None:
        self.file = file
        super().__init__(
            found=f"no file {shown(file)}",
            expected="a file that exists and can be read",
            action="check the name and the folder",
        )


class UnwritableFileError(StandoffError, OSError):
    """A file that cannot, or must not, be written."""

    def __init__(self, file: str, *, reason: str, action: str, code: str = "file-unwritable") -> None:
        self.code = code
        self.file = file
        super().__init__(found=f"{shown(file)}, {reason}", expected="a place where it can be written", action=action)


class StoreError(StandoffError, OSError):
    """A database that cannot be opened, read or written; `place` is its file or address, without a password."""

    def __init__(self, code: str, *, place: str, expected: str, action: str) -> None:
        self.code = code
        self.place = place
        super().__init__(found=f"{CODES[code]} ({place})", expected=expected, action=action)


class StaleRevisionError(StandoffError, ValueError):
    """A revision whose number somebody else has written meanwhile: nothing of it was written."""

    code = "revision-stale"

    def __init__(self, *, job_id: str, number: int) -> None:
        self.job_id = job_id
        self.number = number
        super().__init__(
            found=f"revision {number}, which is not the next one any more",
            expected="the number after the newest revision",
            action="look at the newest revision, then save again",
        )


class UnknownRecordError(StandoffError, LookupError):
    """A job or revision that the database does not have."""

    def __init__(self, code: str, *, given: str) -> None:
        self.code = code
        super().__init__(found=f"{given}, {CODES[code]}", expected="one that is listed", action="choose it from the list")


HTTP_STATUS: Mapping[type[StandoffError], int] = MappingProxyType(
    {
        StandoffError: 500,
        QuantityError: 422,
        JobFileError: 422,
        LayoutError: 422,
        PlanFileError: 422,
        UsageError: 422,
        MissingFileError: 404,
        UnwritableFileError: 409,
        StoreError: 503,
        StaleRevisionError: 409,
        UnknownRecordError: 404,
    }
)
"""What each error means as an HTTP status; whatever is not listed is as its nearest ancestor, or 500."""

EXIT_STATUS: Mapping[type[StandoffError], int] = MappingProxyType(
    {
        StandoffError: 70,
        QuantityError: 2,
        JobFileError: 2,
        LayoutError: 2,
        PlanFileError: 2,
        UsageError: 2,
        MissingFileError: 2,
        UnwritableFileError: 2,
        StoreError: 2,
        StaleRevisionError: 2,
        UnknownRecordError: 2,
    }
)
"""What each error means as an exit status; whatever is not listed is as its nearest ancestor, or 70."""


def http_status(error: BaseException) -> int:
    """The HTTP status with which an error is answered."""
    return _by_class(HTTP_STATUS, error)


def exit_status(error: BaseException) -> int:
    """The exit status with which a command ends after an error."""
    return _by_class(EXIT_STATUS, error)


def shown(given: object) -> str:
    """A given value as it is quoted in a sentence: control characters visible, at most about 40 characters."""
    quoted = repr(given)
    return quoted if len(quoted) <= 40 else f"{quoted[:36]}...{quoted[-1]}"


def write_instead(word: str, known: Collection[str]) -> str:
    """The next action after an unknown word: the nearest known one, else all of them."""
    # Below 0.7 the nearest can be another thing altogether: "metres" is near "feet".
    near = get_close_matches(word.lower(), known, n=1, cutoff=0.7)
    listed = ", ".join(known)
    return f'write "{near[0]}" (known: {listed})' if near else f"write one of {listed}"


def _by_class(table: Mapping[type[StandoffError], int], error: BaseException) -> int:
    """The table's entry for the nearest ancestor of an error; a stranger counts as a fault of the program."""
    return next((table[cls] for cls in type(error).__mro__ if cls in table), table[StandoffError])


def _told(told: Problem | StandoffError) -> str:
    """Found, expected and action as one sentence."""
    return f"found {told.found}, expected {told.expected}; {told.action.rstrip('.')}."
