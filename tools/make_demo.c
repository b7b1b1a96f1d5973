/* Makes the demo's readings: two tests in the workshop of an invented association of mountain huts,
 * simulated with fixed seeds, so that the files come out the same every time.
 * usage: make_demo FOLDER */
#include "base/output.h"
#include "rehearsal/invented.h"
#include "rehearsal/run.h"

/* One look at a panel meter. */
struct look {
    size_t segment;
    double offset_s;   /* from the start of the segment; negative: before its end */
    const char *shows; /* V A W C, Q for Ah, E for Wh; ~ before one that was read in passing */
    const char *mark;
};

struct test {
    struct program program;
    struct pack_make make;
    struct truth truth;
    struct shown shown;
};

static void run(struct test *test)
{
    struct pack pack;
    pack_init(&pack, &test->make, 1);
    rehearse(&pack, &test->program, &test->truth);
}

static void free_test(struct test *test)
{
    truth_free(&test->truth);
    shown_free(&test->shown);
}

/* Errors between plus and minus a, nothing known between. */
#define BOUND(a_)                                    \
    {                                                \
        (a_) / 1.7320508075688772, SHAPE_RECTANGULAR \
    }

/* The association's bench logger: a 0.75 mOhm shunt, fed from the mains, a row every two seconds. Its
 * errors lie within hut-pack.rig. */
static const struct instrument_make logger = {
    .v = {BOUND(0.0015), BOUND(0.004), 0.0015, 0.001},
    .a = {BOUND(0.004), BOUND(0.03), 0.015, 0.01},
    .degc = {{0}, BOUND(0.7), 0.06, 0.1},
    .clock = BOUND(40e-6),
    .amp_lag_s = BOUND(0.1),
    .tally_ah_digit = 0.001,
    .tally_wh_digit = 0.01,
    .tally_of_means = true,
    .average_s = 1,
    .period_s = 2,
    .missing = 0.0006,
    .time_digit_s = 1,
};

/* A panel meter in the lead, fed by the sample itself, filmed or looked at. */
static const struct instrument_make panel = {
    .v = {BOUND(0.003), BOUND(0.01), 0.003, 0.01},
    .a = {BOUND(0.008), BOUND(0.1), 0.04, 0.1},
    .degc = {{0}, BOUND(1), 0.1, 1},
    .tally_ah_digit = 0.1,
    .tally_wh_digit = 1,
    .average_s = 0.5,
    .needs_v = 7,
};

static void write_log(const struct test *test, struct text *log)
{
    const struct shown *shown = &test->shown;
    text_add(log, "# INVENTED DATA. Made by tools/make_demo.c; no such sample was ever tested.\n"
                  "# Workshop of the Stonebell Huts Association (invented): sample 014, full discharge.\n"
                  "# Bench logger, one row every 2 s. Current is positive when it leaves the sample.\n"
                  "Time,Voltage(V),Current(A),Power(W),Temp(degC),Ah,Wh\n");
    for (size_t i = 0; i < shown->count; i++) {
        int s = (int)shown->t_s[i];
        text_addf(log, "%d:%02d:%02d,%.3f,%.2f,%.1f,%.1f,%.3f,%.2f\n", s / 3600, s / 60 % 60, s % 60,
                  shown->v[i], shown->a[i] + 0.0, shown->v[i] * shown->a[i] + 0.0, shown->degc[i],
                  shown->tally_ah[i], shown->tally_wh[i]);
    }
}

static double look_s(const struct truth *truth, const struct look *look)
{
    return look->offset_s >= 0 ? truth->segment_s[look->segment] + look->offset_s
                               : truth->segment_s[look->segment + 1] + look->offset_s;
}

/* What the person typed of row `i`. */
static void write_values(const struct shown *shown, size_t i, const char *shows, struct text *readings)
{
    bool passing = false;
    for (const char *letter = shows; *letter != '\0'; letter++) {
        if (*letter == '~') {
            passing = true;
            continue;
        }
        text_add(readings, passing ? " ~" : " ");
        switch (*letter) {
        case 'V': text_addf(readings, passing ? "%.1f V" : "%.2f V", shown->v[i]); break;
        case 'A': text_addf(readings, passing ? "%.0f A" : "%.1f A", shown->a[i]); break;
        case 'W': text_addf(readings, "%.0f W", shown->v[i] * shown->a[i]); break;
        case 'C': text_addf(readings, "%.0f C", shown->degc[i]); break;
        case 'Q': text_addf(readings, passing ? "%.0f Ah" : "%.1f Ah", shown->tally_ah[i]); break;
        case 'E': text_addf(readings, "%.0f Wh", shown->tally_wh[i]); break;
        default: abort(); /* a slip in the tables below */
        }
        passing = false;
    }
}

/* `frames` a second: a film's timecode; 0: hours, minutes and seconds by the clock on the wall. */
static void write_looks(struct test *test, const struct look *looks, size_t count, int frames, uint32_t seed,
                        struct text *readings)
{
    double instants_s[32];
    for (size_t i = 0; i < count; i++)
        instants_s[i] = look_s(&test->truth, &looks[i]);
    struct random *random = random_new(seed);
    struct instrument meter = instrument_draw(&panel, random);
    instrument_glance(&meter, &test->truth, instants_s, count, random, &test->shown);
    random_free(random);
    for (size_t i = 0; i < count; i++) {
        int s = (int)instants_s[i];
        text_addf(readings, "%d:%02d:%02d", s / 3600, s / 60 % 60, s % 60);
        if (frames > 0)
            text_addf(readings, ":%02d", (int)((instants_s[i] - s) * frames));
        write_values(&test->shown, i, looks[i].shows, readings);
        text_addf(readings, "%s%s\n", looks[i].mark[0] != '\0' ? "  " : "", looks[i].mark);
    }
}

static enum status save(const char *folder, const char *name, struct text *content, struct message *message)
{
    struct text path = TEXT_EMPTY;
    text_addf(&path, "%s/%s", folder, name);
    enum status status = output_save(text_string(&path), content, message);
    text_free(&path);
    text_free(content);
    return status;
}

/* Sample 014: a good pack. At rest, an inverter at 300 W, a burst a little under the rated current
 * half-way, on to the end, and four minutes in the dark. */
static enum status make_hut_pack(const struct cell_ocv *ocv, const char *folder, struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 604},
        {.kind = SEGMENT_POWER, .amount = 282, .idle_w = 17, .ripple = 0.2, .duration_s = 7391},
        {.kind = SEGMENT_POWER, .amount = 1098, .idle_w = 17, .ripple = 0.2, .duration_s = 243},
        {.kind = SEGMENT_POWER, .amount = 282, .idle_w = 17, .ripple = 0.2, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 240},
    };
    static const struct look looks[] = {
        {0, 8.37, "VAC", "rested since the evening before"},
        {1, 11.2, "VAW", "inverter on"},
        {1, 1822.6, "VAWQE", ""},
        {1, 4507.9, "VAQEC", ""},
        {1, -6.44, "VAWQE", ""},
        {2, 4.52, "V~A", "burst"},
        {2, -5.16, "VAWQEC", ""},
        {3, 3.28, "VA", "burst off"},
        {3, 1801.7, "VAQE", ""},
        {3, -1504.3, "VAWQE", ""},
        {3, -302.8, "VAQE", ""},
        {3, -2.2, "VAQE", "last picture"},
        {4, 2.9, "", "meter dark, cut-off"},
    };
    struct test test = {.program = {segments, 5, 1, 1e5}, .make = invented_pack(ocv, 4, 105)};
    run(&test);
    struct random *random = random_new(14);
    struct instrument one = instrument_draw(&logger, random);
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
    write_looks(&test, looks, sizeof looks / sizeof *looks, 25, 1014, &readings);
    free_test(&test);
    enum status status = save(folder, "hut-pack.log.csv", &log, message);
    enum status second = save(folder, "hut-pack.readings", &readings, message);
    return status != STATUS_OK ? status : second;
}

/* Sample 015: a small pack that falls short, typed by hand beside the bench. */
static enum status make_bivouac_pack(const struct cell_ocv *ocv, const char *folder, struct message *message)
{
    static const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 420},
        {.kind = SEGMENT_POWER, .amount = 121, .idle_w = 9, .ripple = 0.2, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 120},
    };
    static const struct look looks[] = {
        {0, 0, "VAC", "rested overnight"},
        {1, 30, "VAW", "inverter on"},
        {1, 900, "VAQ", ""},
        {1, 2700, "VAQE", ""},
        {1, 4500, "V~A", ""},
        {1, 6300, "VAWQEC", ""},
        {1, 8100, "VAQ", ""},
        {1, 9900, "VAQE", ""},
        {1, 11400, "VAQEC", ""},
        {1, -540, "VAQE", ""},
        {1, -4, "VAQE", ""},
        {2, 5, "", "cut-off, meter dark"},
    };
    struct test test = {.program = {segments, 3, 1, 1e5}, .make = invented_pack(ocv, 4, 42.7)};
    test.make.ambient_degc = 22;
    run(&test);
    struct text readings = TEXT_EMPTY;
    text_add(&readings, "# INVENTED DATA. Made by tools/make_demo.c; no such sample was ever tested.\n"
                        "title: Sample 015, full discharge, typed while watching a panel meter\n"
                        "invented: yes\n"
                        "direction: discharge\n"
                        "load: constant power\n"
                        "times: elapsed\n"
                        "how: seen\n\n");
    write_looks(&test, looks, sizeof looks / sizeof *looks, 0, 1015, &readings);
    free_test(&test);
    return save(folder, "bivouac-pack.readings", &readings, message);
}

int main(int argc, char **argv)
{
    if (argc != 2) {
        fputs("usage: make_demo FOLDER\n", stderr);
        return STATUS_USAGE;
    }
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    struct message message;
    enum status status = make_hut_pack(&ocv, argv[1], &message);
    if (status == STATUS_OK)
        status = make_bivouac_pack(&ocv, argv[1], &message);
    if (status != STATUS_OK) {
        char text[1024];
        status_print(&message, text, sizeof text);
        fprintf(stderr, "make_demo: %s\n", text);
    }
    return status;
}
