"""Long studies: `python3 build.py study NAME`; their figures lie in `results/`."""
