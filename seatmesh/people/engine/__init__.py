"""Parts of the people worked on: in threads of this process, in worker processes, or on a cluster; and kept."""
