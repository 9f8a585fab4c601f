"""What every layer stands on: units, measured values, citations, covariance."""
