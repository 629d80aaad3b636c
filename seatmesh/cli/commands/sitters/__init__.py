"""Commands about who sits: measures, marks of a fitting, people not yet met."""
