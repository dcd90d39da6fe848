"""The job: its file, the house as a graph, and the solved house."""
