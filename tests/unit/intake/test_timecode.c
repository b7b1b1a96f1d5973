#include "check.h"

#include "intake/timecode.h"

static struct frame_rate rate_of(const char *s)
{
    struct frame_rate rate = {0};
    struct message message;
    size_t used = 0;
    if (frame_rate_read(span_of(s), &rate, &used, &message) != STATUS_OK || used != strlen(s))
        return (struct frame_rate){.nominal = -1};
    return rate;
}

TEST(rates_as_cameras_state_them)
{
    CHECK_NEAR(rate_of("25").per_s, 25, 0);
    CHECK_NEAR(rate_of("29.97 drop").per_s, 30000.0 / 1001, 1e-12);
    CHECK(rate_of("29.97 drop").drop && !rate_of("29.97").drop && !rate_of("29.97 ndf").drop);
    CHECK_NEAR(rate_of("23.976 fps").per_s, 24000.0 / 1001, 1e-12);
    CHECK_NEAR(rate_of("23.98").per_s, 24000.0 / 1001, 1e-12);
    CHECK_NEAR(rate_of("30000/1001").per_s, 30000.0 / 1001, 1e-12);
    CHECK(rate_of("59,94 drop-frame").nominal == 60);
    CHECK(rate_of("variable").variable);
    CHECK(rate_of("25 drop").nominal == -1);
    CHECK(rate_of("27.3").nominal == -1);
    CHECK(rate_of("29.9").nominal == -1);
    CHECK(rate_of("0").nominal == -1);
    CHECK(rate_of("fast").nominal == -1);
}

/* SMPTE ST 12-1 as widely restated, from memory: an hour of drop-frame timecode at 29.97 is 107 892
 * frames, ten minutes are 17 982, a day is 2 589 408; 0:01:00;00 and ;01 do not exist. */
TEST(drop_frame_counts)
{
    struct frame_rate drop = rate_of("29.97 drop"), plain = rate_of("29.97"), fast = rate_of("59.94 drop");
    CHECK(timecode_frame(&drop, 1, 0, 0, 0) == 107892);
    CHECK(timecode_frame(&drop, 0, 10, 0, 0) == 17982);
    CHECK(timecode_frame(&drop, 24, 0, 0, 0) == 2589408);
    CHECK(timecode_frame(&drop, 0, 0, 59, 29) == 1799);
    CHECK(timecode_frame(&drop, 0, 1, 0, 2) == 1800);
    CHECK(timecode_frame(&drop, 0, 1, 0, 0) == -1);
    CHECK(timecode_frame(&drop, 0, 1, 0, 1) == -1);
    CHECK(timecode_frame(&drop, 0, 10, 0, 1) == 17983);
    CHECK(timecode_frame(&fast, 1, 0, 0, 0) == 215784);
    CHECK(timecode_frame(&fast, 0, 1, 0, 3) == -1);
    CHECK(timecode_frame(&plain, 1, 0, 0, 0) == 108000);
    CHECK(timecode_frame(&plain, 0, 0, 0, 30) == -1);
    CHECK(timecode_frame(&plain, 0, 60, 0, 0) == -1);
}

/* Every frame number of an hour is reached once, in order. */
TEST(drop_frame_leaves_no_frame_out)
{
    struct frame_rate drop = rate_of("29.97 drop");
    long expected = 0;
    for (int m = 0; m < 60; m++)
        for (int s = 0; s < 60; s++)
            for (int f = 0; f < 30; f++) {
                long frame = timecode_frame(&drop, 0, m, s, f);
                if (frame >= 0 && frame != expected++)
                    CHECK(frame == expected - 1);
            }
    CHECK(expected == 107892);
}

TEST(instants)
{
    double halfwidth = NAN;
    struct frame_rate drop = rate_of("29.97 drop"), plain = rate_of("29.97"), pal = rate_of("25"), vary = rate_of("variable");
    double start = timecode_seconds(&drop, 0, 0, 0, 0, &halfwidth);
    CHECK_NEAR(halfwidth, 0.5 * 1001 / 30000, 1e-12);
    CHECK_NEAR(timecode_seconds(&drop, 1, 0, 0, 0, &halfwidth) - start, 3599.9964, 1e-9);
    start = timecode_seconds(&plain, 0, 0, 0, 0, &halfwidth);
    CHECK_NEAR(timecode_seconds(&plain, 1, 0, 0, 0, &halfwidth) - start, 3603.6, 1e-9);
    CHECK_NEAR(timecode_seconds(&pal, 0, 0, 1, 5, &halfwidth), 1.22, 1e-12);
    CHECK_NEAR(timecode_seconds(&vary, 0, 2, 1, 17, &halfwidth), 121.5, 1e-12);
    CHECK_NEAR(halfwidth, 0.5, 0);
    CHECK(isnan(timecode_seconds(&pal, 0, 0, 1, 25, &halfwidth)));
}
