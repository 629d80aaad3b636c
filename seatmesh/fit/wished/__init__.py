"""What is wished of a hollow: wishes in the words of the trade, and the depths that they ask for place by place."""
