"""The report as one page: sections, each a function from a study to words, tables and charts; and how they look."""
