"""What somsim knows: tables of values with their ranges and sources, and the reader that checks them."""

from somsim.library.reading import Entry, Library, MonthValues, Price, Source, Sowing, Value, read_library

__all__ = ["Entry", "Library", "MonthValues", "Price", "Source", "Sowing", "Value", "read_library"]
