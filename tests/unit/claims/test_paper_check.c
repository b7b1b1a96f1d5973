#include "check.h"

#include "claims/paper_check.h"

static const struct paper_line *line_of(const struct paper_check *check, long line)
{
    for (size_t k = 0; k < check->line_count; k++)
        if (check->lines[k].line == line)
            return &check->lines[k];
    static char nothing[] = "";
    static const struct paper_line none = {0, "none", nothing};
    return &none;
}

/* Texts are invented: the workshop of a mountain-hut association. */
TEST(a_label_says_what_each_line_was_taken_for)
{
    static const char text[] = "# invented\n[sample]\nname = Hut pack 3\nprice = 389 EUR\n\n[claims]\n"
                               "capacity = 100 Ah at 0.2 It, 25 °C, to 10 V | case\ncharge temperature = 0..45 °C\n"
                               "fits the hut's shelf = yes | listing\nmass = 10.9 kg\n[measured]\nmass = 11.24 kg ± 0.03 kg | scale\n"
                               "fits the hut's shelf = no\nlength = 330 mm\n";
    struct paper_check check;
    paper_check(PAPER_LABEL, "typed.label", span_of(text), &check);
    CHECK(check.fault_count == 0 && !check.more_faults);
    CHECK_TEXT(line_of(&check, 1)->kind, "remark");
    CHECK_TEXT(line_of(&check, 2)->kind, "section");
    CHECK_TEXT(line_of(&check, 4)->taken, "389.00 EUR");
    CHECK_TEXT(line_of(&check, 7)->kind, "claim");
    CHECK_TEXT(line_of(&check, 7)->taken, "Capacity: at least 100 Ah, at 0.2 It, at 25 °C, to 10 V; read on: case");
    CHECK(strstr(line_of(&check, 8)->taken, "; ") != NULL); /* two claims in one line */
    CHECK_TEXT(line_of(&check, 12)->kind, "noted");
    CHECK_TEXT(line_of(&check, 12)->taken, "Mass: 11.240 ± 0.030 kg");
    CHECK_TEXT(line_of(&check, 13)->taken, "Fits the hut's shelf: no, it is not so");
    CHECK_TEXT(line_of(&check, 14)->taken, "answers no claim of this label: 330 mm");
    CHECK_TEXT(line_of(&check, 5)->kind, "none"); /* blank */
    paper_check_free(&check);
}

TEST(every_line_at_fault_is_found)
{
    static const char text[] = "[claims]\ncapacity = 100 V\nenergy = 1280 Wh\nnominal voltage = 12.8 Ah\n[claim]\n"
                               "mass = 10 kg\n[measured]\nmass = heavy\n";
    struct paper_check check;
    paper_check(PAPER_LABEL, "typed.label", span_of(text), &check);
    CHECK(check.fault_count == 4);
    CHECK_TEXT(line_of(&check, 2)->kind, "fault");
    CHECK_TEXT(line_of(&check, 3)->kind, "claim");
    CHECK_TEXT(line_of(&check, 4)->kind, "fault");
    CHECK_TEXT(line_of(&check, 5)->kind, "section");
    CHECK_TEXT(line_of(&check, 6)->kind, "fault"); /* an unknown section is told where it first holds something */
    CHECK_TEXT(line_of(&check, 8)->kind, "fault");
    for (size_t k = 0; k < check.fault_count; k++)
        CHECK(check.faults[k].what[0] != '\0' && check.faults[k].line > 0);
    paper_check_free(&check);
}

TEST(readings_line_by_line)
{
    static const char text[] = "title: Hut pack\nframe rate: 25\n\n0:00:08:09  13.31 V  0.0 A\n0:10:15:05  12.98 V  22.6\n"
                               "0:40:26:14  12.77 V  >95 A  burst\n0:39:00:00  12.7 V\n103..104 Ah (remembered)\n# end\n";
    struct paper_check check;
    paper_check(PAPER_READINGS, "typed.readings", span_of(text), &check);
    CHECK(check.fault_count == 2);
    CHECK(check.faults[0].line == 5 && check.faults[1].line == 7); /* no unit; back in time */
    CHECK_TEXT(line_of(&check, 1)->kind, "heading");
    CHECK_TEXT(line_of(&check, 4)->taken, "0.000 ± 0.020 s · 13.310 ± 0.010 V, filmed · 0.00 ± 0.10 A, filmed");
    CHECK_TEXT(line_of(&check, 6)->taken,
               "0:40:18 ± 0.020 s · 12.770 ± 0.010 V, filmed · above 95.0 A, filmed · mark: burst");
    CHECK_TEXT(line_of(&check, 8)->taken, "no time, only its place in the order · 103.50 ± 0.50 Ah, remembered");
    CHECK_TEXT(line_of(&check, 9)->kind, "remark");
    paper_check_free(&check);
}

TEST(a_rig_and_loads)
{
    static const char rig[] = "name = Bench by the window\nclock = 50 ppm\n[voltage]\naccuracy = 0.05 % + 2 digits\n"
                              "[panel meter]\ncurrent = 1 % of 100 A range\n";
    struct paper_check check;
    paper_check(PAPER_RIG, "typed.rig", span_of(rig), &check);
    CHECK(check.fault_count == 0 && check.notices.count > 0); /* channels that it does not state */
    CHECK_TEXT(line_of(&check, 2)->taken, "within 1.8 s in 10 h");
    CHECK_TEXT(line_of(&check, 4)->taken, "voltage: within 0.0064 V at 12.8 V, and 2 steps of the last digit");
    CHECK_TEXT(line_of(&check, 6)->taken, "current: within 1.0 A at 20 A");
    paper_check_free(&check);
    static const char loads[] = "[inverter]\npower = 2000 W\nidle = 18 W\n[kettle]\npower = 1800 W\nbehind inverter = yes\n"
                                "[bank]\ncurrent = 20 A\n";
    paper_check(PAPER_LOADS, "typed.loads", span_of(loads), &check);
    CHECK(check.fault_count == 0);
    CHECK_TEXT(line_of(&check, 5)->taken, "kettle: 2018 W at the sample, losses and idle draw of the inverter in it");
    CHECK_TEXT(line_of(&check, 8)->taken, "bank: 256 W at the sample, of a 12.8 V pack");
    paper_check_free(&check);
}

TEST(what_a_whole_lacks_is_told_once)
{
    struct paper_check check;
    paper_check(PAPER_LABEL, "typed.label", span_of("[sample]\nname = Hut pack 3\n"), &check);
    CHECK(check.fault_count == 1 && check.faults[0].line == 0);
    paper_check_free(&check);
    paper_check(PAPER_READINGS, "typed.readings", span_of(""), &check);
    CHECK(check.fault_count == 1);
    paper_check_free(&check);
    paper_check(PAPER_LABEL, "typed.label", span_of("[claims]\ncapacity = lots\n"), &check);
    CHECK(check.fault_count == 1); /* and no complaint that there is no claim */
    paper_check_free(&check);
}

TEST(a_pasted_log_is_given_up)
{
    struct text text = TEXT_EMPTY;
    for (int k = 0; k < 500; k++)
        text_addf(&text, "%d;12.%d;24.%d\n", k, k % 100, k % 10);
    struct paper_check check;
    paper_check(PAPER_READINGS, "typed.readings", (struct span){text.s, text.length}, &check);
    CHECK(check.fault_count == PAPER_FAULTS && check.more_faults);
    paper_check_free(&check);
    text_free(&text);
}
