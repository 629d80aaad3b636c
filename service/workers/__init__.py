"""Where work is done: processes of this machine, or a cluster; and whose turn it is."""
