"""One file a page: its blocks and its foot. Which step shows which is told by ``index``."""
