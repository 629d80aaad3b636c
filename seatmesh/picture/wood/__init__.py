"""Pictures of the wood: figure, ways to lay the boards, movement, the way to cut, and stress in the floor."""
