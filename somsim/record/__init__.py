"""What was really done and measured: a plain file beside the plan, one line an event, added to and never rewritten."""

from somsim.record.facts import Facts, as_recorded
from somsim.record.reading import Record, read_record
from somsim.record.writing import append

__all__ = ["Facts", "Record", "append", "as_recorded", "read_record"]
