"""The job of `scenelux dusk`: switching checked over all inputs, run through an evening, measured and costed."""
