"""Full-size sheets for the bench: plan, section cards, stages of the rough-out, depth holes."""
