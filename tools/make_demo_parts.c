#include "make_demo.h"

#include "base/output.h"

void demo_run(struct demo_test *test)
{
    struct pack pack;
    pack_init(&pack, &test->make, 1);
    rehearse(&pack, &test->program, &test->truth);
}

void demo_free(struct demo_test *test)
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
const struct instrument_make demo_logger = {
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

struct instrument demo_logger_of(const struct instrument_make *as_set, struct random **ret_random)
{
    *ret_random = random_new(14);
    return instrument_draw(as_set, *ret_random);
}

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

double demo_instant_s(const struct truth *truth, struct demo_instant instant)
{
    return instant.offset_s >= 0 ? truth->segment_s[instant.segment] + instant.offset_s
                                 : truth->segment_s[instant.segment + 1] + instant.offset_s;
}

/* What the person typed of row `i`. */
static void write_values(const struct demo_test *test, size_t i, const char *shows, struct text *readings)
{
    const struct shown *shown = &test->shown;
    double way = test->charges ? -1 : 1;
    bool passing = false;
    for (const char *letter = shows; *letter != '\0'; letter++) {
        if (*letter == '~') {
            passing = true;
            continue;
        }
        text_add(readings, passing ? " ~" : " ");
        switch (*letter) {
        case 'V': text_addf(readings, passing ? "%.1f V" : "%.2f V", shown->v[i]); break;
        case 'A': text_addf(readings, passing ? "%.0f A" : "%.1f A", way * shown->a[i]); break;
        case 'W': text_addf(readings, "%.0f W", way * shown->v[i] * shown->a[i]); break;
        case 'C': text_addf(readings, "%.0f C", shown->degc[i]); break;
        case 'Q': text_addf(readings, passing ? "%.0f Ah" : "%.1f Ah", way * shown->tally_ah[i]); break;
        case 'E': text_addf(readings, "%.0f Wh", way * shown->tally_wh[i]); break;
        default: abort(); /* a slip in the tables below */
        }
        passing = false;
    }
}

void demo_write_looks(struct demo_test *test, const struct demo_look *looks, size_t count, int frames, uint32_t seed,
                      struct text *readings)
{
    double instants_s[32];
    for (size_t i = 0; i < count; i++)
        instants_s[i] = demo_instant_s(&test->truth, looks[i].at);
    struct random *random = random_new(seed);
    struct instrument meter = instrument_draw(&panel, random);
    instrument_glance(&meter, &test->truth, instants_s, count, random, &test->shown);
    random_free(random);
    for (size_t i = 0; i < count; i++) {
        int s = (int)instants_s[i];
        text_addf(readings, "%d:%02d:%02d", s / 3600, s / 60 % 60, s % 60);
        if (frames > 0)
            text_addf(readings, ":%02d", (int)((instants_s[i] - s) * frames));
        write_values(test, i, looks[i].shows, readings);
        text_addf(readings, "%s%s\n", looks[i].mark[0] != '\0' ? "  " : "", looks[i].mark);
    }
}

void demo_tell_truth(const char *log, const struct truth *truth, struct text *truths)
{
    static const char *const states[] = {[BMS_CLOSED] = "closed",
                                         [BMS_DARK_UNDER_VOLTAGE] = "dark, empty cell",
                                         [BMS_DARK_OVER_CURRENT] = "dark, too much current",
                                         [BMS_CHARGE_STOPPED] = "full cell"};
    static const char *const climates[] = {[BMS_MILD] = "mild", [BMS_TOO_COLD] = "too cold", [BMS_TOO_HOT] = "too hot"};
    text_addf(truths, "%s\n  \"%s\": {\n    \"discharge_ah\": %.4f, \"discharge_wh\": %.3f,\n",
              truths->length > 0 ? "," : "{", log, truth->discharge_ah, truth->discharge_wh);
    text_addf(truths, "    \"charge_ah\": %.4f, \"charge_wh\": %.3f,\n    \"board\": [", truth->charge_in_ah,
              truth->charge_in_wh);
    for (size_t k = 0; k < truth->events_count; k++) {
        const struct truth_event *event = &truth->events[k];
        text_addf(truths,
                  "%s\n      {\"at_s\": %.1f, \"volts\": %.3f, \"amps\": %.2f, \"sensor_degc\": %.2f, \"state\": \"%s\", "
                  "\"climate\": \"%s\"}",
                  k > 0 ? "," : "", event->at_s, event->v, event->a + 0.0, event->sensor_degc, states[event->state],
                  climates[event->climate]);
    }
    text_add(truths, "\n    ]\n  }");
}

enum status demo_save(const char *folder, const char *name, struct text *content, struct message *message)
{
    struct text path = TEXT_EMPTY;
    text_addf(&path, "%s/%s", folder, name);
    enum status status = output_save(text_string(&path), content, message);
    text_free(&path);
    text_free(content);
    return status;
}

