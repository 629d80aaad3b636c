"""What a fair surface through readings tells: its scatter, ripples, bowls and lumps, and what is chance."""
