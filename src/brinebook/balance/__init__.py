"""The estimator: what the facts say of the water. Pure: values in, frozen values out."""
