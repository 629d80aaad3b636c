"""What workers do: each task takes plain values, calls the library, and returns bytes or plain values."""
