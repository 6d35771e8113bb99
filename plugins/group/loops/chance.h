/* Numbers drawn at random (chance.py). */
#ifndef CHANCE_H
#define CHANCE_H

#include <stdint.h>

/* The next number of a generator that is simple enough to be the same everywhere. */
static inline double
next_random(uint64_t *state)
{
    uint64_t z = *state += 0x9E3779B97F4A7C15u;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

#endif
