"""When something is written: the one place that asks for the time, so that two runs can be made the same to the bit."""

from __future__ import annotations

import os
from datetime import UTC, datetime

from somsim.errors import InputError, Problem

SOURCE_DATE_EPOCH = "SOURCE_DATE_EPOCH"


def time_of_writing() -> datetime:
    """The time, in UTC to the second; that of SOURCE_DATE_EPOCH (seconds since 1970) where the surroundings set it.

    Source: the SOURCE_DATE_EPOCH specification 1.1 of reproducible-builds.org (from memory).

    Raises
    ------
    InputError
        when SOURCE_DATE_EPOCH is set to something that is no time.
    """
    said = os.environ.get(SOURCE_DATE_EPOCH)
    if said is None:
        return datetime.now(UTC).replace(microsecond=0)
    try:
        return datetime.fromtimestamp(int(said), UTC)
    except (ValueError, OverflowError, OSError) as error:
        hint = "give whole seconds since 1 January 1970, or leave it away"
        raise InputError(
            [Problem(f'{SOURCE_DATE_EPOCH} is "{said}", which is no time', hint=hint)], "nothing was saved."
        ) from error
