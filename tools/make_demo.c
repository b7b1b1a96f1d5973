/* Makes the demo's readings and pictures: the tests in the workshop of an invented association of mountain huts,
 * simulated with fixed seeds, so that the files come out the same every time.
 * usage: make_demo FOLDER */
#include "make_demo.h"

#include "rehearsal/invented.h"

static void write_log(const struct demo_test *test, struct text *log)
{
    const struct shown *shown = &test->shown;
    text_add(log, "# INVENTED DATA. Made by tools/make_demo.c; no such sample was ever tested.\n"
                  "# Workshop of the Stonebell Huts Association (invented): sample 014, full discharge.\n"
                  "# Bench logger, one row every 2 s. Current is positive when it leaves the sample.\n"
                  "Time,Voltage(V),Current(A),Power(W),Temp(degC),Ah,Wh\n");
    for (size_t i = 0; i < shown->count; i++) {
        int s = 7 * 3600 + 900 + (int)shown->t_s[i];
        text_addf(log, "2026-02-03 %02d:%02d:%02d,%.3f,%.2f,%.1f,%.1f,%.3f,%.2f\n", s / 3600, s / 60 % 60, s % 60,
                  shown->v[i], shown->a[i] + 0.0, shown->v[i] * shown->a[i] + 0.0, shown->degc[i],
                  shown->tally_ah[i], shown->tally_wh[i]);
    }
}

/* Sample 014: a good pack. At rest, an inverter at 300 W, a burst a little under the rated current
 * half-way, on to the end, and four minutes in the dark. */
static enum status make_hut_pack(const struct cell_ocv *ocv, const char *folder, struct text *truths,
                                 struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 604},
        {.kind = SEGMENT_POWER, .amount = 282, .idle_w = 17, .ripple = 0.2, .duration_s = 7391},
        {.kind = SEGMENT_POWER, .amount = 1098, .idle_w = 17, .ripple = 0.2, .duration_s = 243},
        {.kind = SEGMENT_POWER, .amount = 282, .idle_w = 17, .ripple = 0.2, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 240},
    };
    static const struct demo_look looks[] = {
        {{0, 8.37}, "VAC", "rested since the evening before"},
        {{1, 11.2}, "VAW", "inverter on"},
        {{1, 1822.6}, "VAWQE", ""},
        {{1, 4507.9}, "VAQEC", ""},
        {{1, -6.44}, "VAWQE", ""},
        {{2, 4.52}, "V~A", "burst"},
        {{2, -5.16}, "VAWQEC", ""},
        {{3, 3.28}, "VA", "burst off"},
        {{3, 1801.7}, "VAQE", ""},
        {{3, -1504.3}, "VAWQE", ""},
        {{3, -302.8}, "VAQE", ""},
        {{3, -2.2}, "VAQE", "last picture"},
        {{4, 2.9}, "", "meter dark, cut-off"},
    };
    struct demo_test test = {.program = {segments, 5, 1, 1e5}, .make = invented_pack(ocv, 4, 105)};
    demo_run(&test);
    struct random *random;
    struct instrument one = demo_logger_of(&demo_logger, &random);
    instrument_read(&one, &test.truth, random, &test.shown);
    random_free(random);
    struct text log = TEXT_EMPTY, readings = TEXT_EMPTY;
    write_log(&test, &log);
    text_add(&readings, "# INVENTED DATA. Made by tools/make_demo.c; no such sample was ever tested.\n"
                        "# The same test as hut-pack.log.csv, read from the film of a panel meter that the\n"
                        "# sample itself feeds. ~ is what was read in passing.\n"
                        "title: Sample 014, full discharge, from film\n"
                        "invented: yes\n"
                        "direction: discharge\n"
                        "load: constant power\n"
                        "frame rate: 25\n"
                        "how: filmed\n\n");
    demo_write_looks(&test, looks, sizeof looks / sizeof *looks, 25, 1014, &readings);
    demo_tell_truth("hut-pack.log.csv", &test.truth, truths);
    demo_free(&test);
    enum status status = demo_save(folder, "hut-pack.log.csv", &log, message);
    enum status second = demo_save(folder, "hut-pack.readings", &readings, message);
    return status != STATUS_OK ? status : second;
}

/* Sample 015: a small pack that falls short, typed by hand beside the bench. */
static enum status make_bivouac_pack(const struct cell_ocv *ocv, const char *folder, struct text *truths,
                                 struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 420},
        {.kind = SEGMENT_POWER, .amount = 121, .idle_w = 9, .ripple = 0.2, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 120},
    };
    static const struct demo_look looks[] = {
        {{0, 0}, "VAC", "rested overnight"},
        {{1, 30}, "VAW", "inverter on"},
        {{1, 900}, "VAQ", ""},
        {{1, 2700}, "VAQE", ""},
        {{1, 4500}, "V~A", ""},
        {{1, 6300}, "VAWQEC", ""},
        {{1, 8100}, "VAQ", ""},
        {{1, 9900}, "VAQE", ""},
        {{1, 11400}, "VAQEC", ""},
        {{1, -540}, "VAQE", ""},
        {{1, -4}, "VAQE", ""},
        {{2, 5}, "", "cut-off, meter dark"},
    };
    struct demo_test test = {.program = {segments, 3, 1, 1e5}, .make = invented_pack(ocv, 4, 42.7)};
    test.make.ambient_degc = 22;
    demo_run(&test);
    struct text readings = TEXT_EMPTY;
    text_add(&readings, "# INVENTED DATA. Made by tools/make_demo.c; no such sample was ever tested.\n"
                        "title: Sample 015, full discharge, typed while watching a panel meter\n"
                        "invented: yes\n"
                        "direction: discharge\n"
                        "load: constant power\n"
                        "times: elapsed\n"
                        "how: seen\n\n");
    demo_write_looks(&test, looks, sizeof looks / sizeof *looks, 0, 1015, &readings);
    demo_tell_truth("bivouac-pack.readings", &test.truth, truths);
    demo_free(&test);
    return demo_save(folder, "bivouac-pack.readings", &readings, message);
}

int main(int argc, char **argv)
{
    if (argc != 2) {
        fputs("usage: make_demo FOLDER\n", stderr);
        return STATUS_USAGE;
    }
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    struct text truths = TEXT_EMPTY;
    struct message message;
    enum status status = make_hut_pack(&ocv, argv[1], &truths, &message);
    if (status == STATUS_OK)
        status = make_bivouac_pack(&ocv, argv[1], &truths, &message);
    if (status == STATUS_OK)
        status = demo_case(&ocv, argv[1], &truths, &message);
    if (status == STATUS_OK)
        status = demo_pictures(argv[1], &message);
    text_add(&truths, "\n}\n");
    if (status == STATUS_OK)
        status = demo_save(argv[1], "truth.json", &truths, &message);
    if (status != STATUS_OK) {
        char text[1024];
        status_print(&message, text, sizeof text);
        fprintf(stderr, "make_demo: %s\n", text);
    }
    return status;
}
