#include "check.h"

#include "rehearsal/chance.h"

#include <inttypes.h>

/* The authors' sequence from the state 1, 2, 3, 4, and splitmix64 from 1234567; both from memory of
 * the widely copied test vectors of xoshiro256++ and splitmix64. */
TEST(gives_the_published_sequence)
{
    struct chance chance = {{1, 2, 3, 4}, NAN};
    const uint64_t published[] = {41943041u, 58720359u, 3588806011781223u, 3591011842654386u,
                                  9228616714210784205u};
    for (size_t i = 0; i < sizeof published / sizeof *published; i++)
        CHECK(chance_bits(&chance) == published[i]);
    struct chance seeded = chance_of(1234567);
    CHECK(seeded.s[0] == 6457827717110365317u);
    CHECK(seeded.s[1] == 3203168211198807973u);
    CHECK(seeded.s[2] == 9817491932198370423u);
    CHECK(seeded.s[3] == 4593380528125082431u);
}

TEST(spreads_have_the_size_they_say)
{
    enum { DRAWS = 200000 };
    struct chance chance = chance_of(20107);
    const struct spread spreads[2] = {{0.37, SPREAD_NORMAL}, {0.37, SPREAD_RECTANGULAR}};
    const double expected_sd[2] = {0.37, 0.37 / sqrt(3)};
    for (int shape = 0; shape < 2; shape++) {
        double sum = 0, squares = 0, largest = 0;
        for (int i = 0; i < DRAWS; i++) {
            double x = chance_spread(&chance, spreads[shape]);
            sum += x;
            squares += x * x;
            largest = fmax(largest, fabs(x));
        }
        CHECK_NEAR(sum / DRAWS, 0, 4 * expected_sd[shape] / sqrt(DRAWS));
        CHECK_REL(sqrt(squares / DRAWS), expected_sd[shape], 0.007);
        if (spreads[shape].shape == SPREAD_RECTANGULAR)
            CHECK(largest <= 0.37);
        else
            CHECK(largest > 3.5 * 0.37 && largest < 6 * 0.37);
    }
    CHECK(chance_spread(&chance, (struct spread){0, SPREAD_NORMAL}) == 0);
}
