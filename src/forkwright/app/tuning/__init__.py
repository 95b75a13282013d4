"""Match, Recommend, Stages and Uncertainty for the pages: questions in, jobs out, the answers of `tune`."""
