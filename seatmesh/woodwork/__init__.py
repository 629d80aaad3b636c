"""What boards do to a seat and a seat to its boards: figure, glue lines, short grain, the way to cut, and the floor."""
