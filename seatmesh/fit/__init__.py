"""Choose the coefficients of the hollow: the body pressed evenly, the maker's wishes, fairness and bounds."""
