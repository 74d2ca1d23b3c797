"""The doors to HiGHS and CBC. Nothing of the trade."""
