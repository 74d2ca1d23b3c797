"""The doors to HiGHS and CBC; nothing of the trade. May import: failures, models.arrays."""
