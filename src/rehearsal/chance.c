#include "rehearsal/chance.h"

static uint64_t splitmix(uint64_t *state)
{
    uint64_t z = (*state += 0x9e3779b97f4a7c15u);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

struct chance chance_of(uint64_t seed)
{
    struct chance chance = {.spare = NAN};
    for (int i = 0; i < 4; i++)
        chance.s[i] = splitmix(&seed);
    return chance;
}

static uint64_t turned(uint64_t x, int k)
{
    return (x << k) | (x >> (64 - k));
}

uint64_t chance_bits(struct chance *chance)
{
    uint64_t *s = chance->s;
    uint64_t result = turned(s[0] + s[3], 23) + s[0];
    uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = turned(s[3], 45);
    return result;
}

double chance_uniform(struct chance *chance)
{
    return (double)(chance_bits(chance) >> 11) * 0x1p-53;
}

double chance_normal(struct chance *chance)
{
    if (!isnan(chance->spare)) {
        double spare = chance->spare;
        chance->spare = NAN;
        return spare;
    }
    double u, v, square;
    do {
        u = 2 * chance_uniform(chance) - 1;
        v = 2 * chance_uniform(chance) - 1;
        square = u * u + v * v;
    } while (square >= 1 || square == 0);
    double stretch = sqrt(-2 * log(square) / square);
    chance->spare = v * stretch;
    return u * stretch;
}

double chance_spread(struct chance *chance, struct spread spread)
{
    if (spread.size == 0)
        return 0; /* no draw: a bench without an error is the same bench */
    return spread.shape == SPREAD_NORMAL ? spread.size * chance_normal(chance)
                                         : spread.size * (2 * chance_uniform(chance) - 1);
}
