#include "log_text.h"

TEST(ordinary_csv)
{
    struct log log;
    CHECK(read_text("time,voltage,current\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n", &log) == STATUS_OK);
    CHECK(log.series.count == 3 && log.bad_count == 0 && log.first_line == 2);
    CHECK_NEAR(log.series.t_s[2], 2.5, 0);
    CHECK_NEAR(log.series.column[CHANNEL_VOLTAGE][1], 13.19, 0);
    CHECK_NEAR(log.series.column[CHANNEL_CURRENT][2], 24.93, 0);
    CHECK_NEAR(log.series.resolution[CHANNEL_VOLTAGE], 0.01, 1e-15);
    log_free(&log);
}
