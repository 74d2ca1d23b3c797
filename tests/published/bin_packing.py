"""Bin-packing instances of the OR-Library: sizes to be packed into the fewest bins.

Source: E. Falkenauer, "A hybrid grouping genetic algorithm for bin packing", Journal of Heuristics
2 (1996); OR-Library, files binpack1 (u120) and binpack5 (t60), with the best number of bins known.
Sizes from stored copies. The bins of u120_08 and u120_19 are those of the copy and equal the
bound by sizes; that older lists have one more is from memory.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class BinPacking:
    """Sizes, the capacity of a bin in the same unit, and the fewest bins."""

    name: str
    capacity: int
    bins: int
    text: str

    @property
    def sizes(self) -> list[int]:
        """The sizes as listed."""
        return [int(size) for size in self.text.split()]


INSTANCES = (
    BinPacking(
        "u120_00",
        150,
        48,
        """
        42 69 67 57 93 90 38 36 45 42 33 79 27 57 44 84 86 92 46 38 85 33 82 73 49 70 59
        23 57 72 74 69 33 42 28 46 30 64 29 74 41 49 55 98 80 32 25 38 82 30 35 39 57 84
        62 50 55 27 30 36 20 78 47 26 45 41 58 98 91 96 73 84 37 93 91 43 73 85 81 79 71
        80 76 83 41 78 70 23 42 87 43 84 60 55 49 78 73 62 36 44 94 69 32 96 70 84 58 78
        25 80 58 66 83 24 98 60 42 43 43 39
        """,
    ),
    BinPacking(
        "u120_01",
        150,
        49,
        """
        97 57 81 62 75 81 23 43 50 38 60 58 70 88 36 90 37 45 45 39 44 53 70 24 82 81 47
        97 35 65 74 68 49 55 52 94 95 29 99 20 22 25 49 46 98 59 98 60 23 72 33 98 80 95
        78 57 67 53 47 53 36 38 92 30 80 32 97 39 80 72 55 41 60 67 53 65 95 20 66 78 98
        47 100 85 53 53 67 27 22 61 43 52 76 64 61 29 30 46 79 66 27 79 98 90 22 75 57 67
        36 70 99 48 43 45 71 100 88 48 27 39
        """,
    ),
    BinPacking(
        "u120_02",
        150,
        46,
        """
        38 100 60 42 20 69 24 23 92 32 84 36 65 84 34 68 64 33 69 27 47 21 85 88 59 61 50
        53 37 75 64 84 74 57 83 28 31 97 61 36 46 37 96 80 53 51 68 90 64 81 66 67 80 37
        92 67 64 31 94 45 80 28 76 29 64 38 48 40 29 44 81 35 51 48 67 24 46 38 76 22 30
        67 45 41 29 41 79 21 25 90 62 34 73 50 79 66 59 42 90 79 70 66 80 35 62 98 97 37
        32 75 91 91 48 26 23 32 100 46 29 26
        """,
    ),
    BinPacking(
        "u120_08",
        150,
        50,
        """
        100 22 25 51 95 58 97 30 79 23 53 80 20 65 64 21 26 100 81 98 70 85 92 97 86 71 91
        29 63 34 67 23 33 89 94 47 100 37 40 58 73 39 49 79 54 57 98 69 67 49 38 34 96 27
        92 82 69 45 69 20 75 97 51 70 29 91 98 77 48 45 43 61 36 82 89 94 26 35 58 58 57
        46 44 91 49 52 65 42 33 60 37 57 91 52 95 84 72 75 89 81 67 74 87 60 32 76 85 59
        62 39 64 52 88 45 29 88 85 54 40 57
        """,
    ),
    BinPacking(
        "u120_19",
        150,
        49,
        """
        49 95 38 62 63 97 42 62 100 43 44 77 97 94 68 23 50 36 89 58 97 27 64 65 54 58 24
        35 33 63 32 50 58 90 44 50 48 21 72 75 21 74 28 95 77 69 96 24 57 85 72 96 50 83
        65 62 99 93 23 77 94 31 50 33 79 73 23 55 44 78 84 66 31 59 97 95 22 76 90 66 29
        100 90 92 50 49 47 43 37 40 60 52 54 99 34 46 88 97 85 39 32 51 95 54 99 86 48 90
        28 25 86 39 74 26 38 60 41 67 80 33
        """,
    ),
    BinPacking(
        "t60_00",
        1000,
        20,
        """
        495 474 473 472 466 450 445 444 439 430 419 414 410 395 372 370 366 366 366 363
        361 357 355 351 350 350 347 320 315 307 303 299 298 298 292 288 287 283 275 275
        274 273 273 272 272 271 269 269 268 263 262 261 259 258 255 254 252 252 252 251
        """,
    ),
)
"""u120: sizes even between 20 and 100. t60: triplets, each bin of the best packing full; sizes in
tenths of the file's unit."""
