"""`somsim planner`: a page on this machine to think with; its core knows nothing of the web."""
