"""Papers, drawings and print-ready sheets."""
