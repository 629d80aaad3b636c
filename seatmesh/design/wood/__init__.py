"""All that is said of a seat's wood: study, report, words, files, and the record for the next chair."""
