"""What is shown and written: sentences, tables, charts, files."""
