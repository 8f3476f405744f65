"""The version of somsim, said once."""

VERSION = "0.1.0"
