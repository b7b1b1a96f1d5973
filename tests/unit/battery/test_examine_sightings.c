#include "typed.h"

/* Invented. A constant 240 W; the tally was computed from 240 W / V along a straight fall of the volts
 * between the lines. */
static const char *const dozen = "direction: discharge\n"
                                 "times: elapsed\n"
                                 "0:00:00 13.41 V 0.0 A 0.0 Ah 18 C  rested\n"
                                 "0:05:00 13.02 V 18.4 A  inverter on\n"
                                 "0:35:00 12.91 V 18.6 A 9.3 Ah\n"
                                 "1:05:00 12.84 V 18.7 A 18.6 Ah 240 Wh 20 C\n"
                                 "1:35:00 12.79 V 18.8 A 28.0 Ah\n"
                                 "2:05:00 12.63 V 19.0 A 37.4 Ah\n"
                                 "2:20:00 11.90 V 20.2 A 42.3 Ah 542 Wh\n"
                                 "2:25:00 10.85 V 22.1 A 44.1 Ah\n"
                                 "2:25:10 cut-off, meter dark\n";

TEST(a_dozen_lines_are_examined)
{
    struct typed typed = typed_start();
    typed.asked.cells = 4;
    typed_examine(&typed, dozen);
    const struct findings *f = &typed.findings;
    CHECK(typed.status == STATUS_OK);
    CHECK(f->run_count == 3 && f->runs[1].kind == RUN_DISCHARGE && f->has_test && !f->order_only);
    CHECK(f->runs[1].ended.by == ENDED_BMS && f->runs[1].ended.dark);
    CHECK_NEAR(f->runs[1].ended.end_cell_v, 10.85 / 4, 1e-9);
    CHECK(f->load.law == LOAD_POWER);
    CHECK(typed_holds(&f->test_ah, 44.16, 0.04));
    CHECK(typed_holds(&f->test_wh, 240 * 8410 / 3600.0, 0.05));
    CHECK(f->tally_ah.present && f->tally_ah.agrees && !f->tally_ah.froze && !f->tally_ah.reset);
    CHECK(typed_holds(&f->test_duration_s, 8410, 0.01));
    CHECK_NEAR(f->test_degc, 20, 1e-9);
    CHECK(!measure_known(&f->efficiency_charge) && !measure_known(&f->efficiency_energy));
    typed_end(&typed);
}

/* A charger whose pack has opened shows its own volts; a pack that it let go falls. */
TEST(the_board_ends_a_charge_where_the_volts_go_up)
{
    static const char head[] = "times: elapsed\ndirection: charge\n0:00:00 13.05 V 0 A\n0:01:00 13.27 V 10.1 A\n"
                               "0:06:00 13.36 V 10.0 A\n";
    for (int opened = 0; opened < 2; opened++) {
        struct typed typed = typed_start();
        char text[400];
        snprintf(text, sizeof text, "%s0:06:05 %s V 0.0 A\n0:09:05 13.2 V 0.0 A\n", head, opened ? "14.62" : "13.31");
        typed_examine(&typed, text);
        const struct findings *f = &typed.findings;
        CHECK(typed.status == STATUS_OK && f->run_count == 3 && f->runs[1].kind == RUN_CHARGE);
        CHECK((f->runs[1].ended.by == ENDED_BMS) == opened);
        CHECK(!opened || strstr(f->runs[1].ended.evidence, "lost its load") != NULL);
        typed_end(&typed);
    }
}

TEST(no_current_in_any_form_is_refused)
{
    struct typed typed = typed_start();
    typed_examine(&typed, "times: elapsed\n0:01:00 12.9 V\n0:31:00 12.8 V\n");
    CHECK(typed.status == STATUS_UNREADABLE && typed.message.remedy[0] != '\0');
    typed_end(&typed);
}

TEST(a_current_of_unknown_direction_is_refused)
{
    struct typed typed = typed_start();
    typed_examine(&typed, "times: elapsed\n0:01:00 24 A\n0:31:00 24 A\n");
    CHECK(typed.status == STATUS_AMBIGUOUS && strstr(typed.message.remedy, "direction") != NULL);
    typed_end(&typed);
}
