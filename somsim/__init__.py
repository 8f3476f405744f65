"""somsim: what each way of feeding a growing bed does to its soil, and what it is worth in compost."""
