"""forkwright: a workbench for the mountain-bike suspension technician."""
