/* What somebody types while the test runs: readings by eye of that instant, and marks. */
#include "bench/recorder_parts.h"

#include "intake/readings.h"

static double middle(const struct instant *instant, enum channel channel)
{
    for (size_t k = 0; k < instant->count; k++)
        if (instant->values[k].channel == channel)
            return instant->values[k].value;
    return NAN;
}

/* Typed amps carry no sign of their own: they flow the way of the test. */
static struct reading_now now_of(const struct recorder *recorder, const struct instant *instant, double t_s)
{
    struct reading_now now = reading_none(t_s);
    double a = middle(instant, CHANNEL_CURRENT);
    now.v = middle(instant, CHANNEL_VOLTAGE);
    now.a = recorder->request.kind == TEST_CHARGE ? -fabs(a) : fabs(a);
    now.degc = middle(instant, CHANNEL_TEMPERATURE);
    now.ambient_degc = middle(instant, CHANNEL_AMBIENT);
    return now;
}

enum status recorder_say(struct recorder *recorder, const char *line, int64_t at_ns, struct message *message)
{
    static const struct readings_form form = {.times = TIMES_ELAPSED, .had = HAD_SEEN};
    double t_s = fmax(recorder_at_s(recorder, at_ns), recorder->from_s);
    t_s = fmax(t_s, isfinite(recorder->typed_last_s) ? recorder->typed_last_s : 0);
    struct span typed = span_trim(span_of(line));
    if (typed.n == 0)
        typed = span_of("mark");
    struct instant instant = {0};
    struct notices notices = {0};
    enum status status = readings_line(&form, "typed", 1, typed, &instant, &notices, message);
    notices_free(&notices);
    if (status == STATUS_OK && isfinite(instant.t_s)) {
        status_fail(message, STATUS_MALFORMED,
                    "a line that is typed while the test runs needs no time: it is of this instant");
        status = status_remedy(message, "leave the time away");
        instant_free(&instant);
    }
    if (status != STATUS_OK)
        return status;
    if (instant.count == 0) {
        recorder_event(recorder, EVENT_MARK, NULL, t_s, NAN, "mark", "%.*s", (int)typed.n, typed.p);
    } else {
        recorder_event(recorder, EVENT_LINE, NULL, t_s, NAN, "seen", "%.*s", (int)typed.n, typed.p);
        struct reading_now now = now_of(recorder, &instant, t_s);
        latest_typed(recorder->latest, &now);
        recorder->readings++;
        if (recorder_instruments(recorder) == 0)
            recorder_watch(recorder, &now);
    }
    recorder->typed_last_s = t_s;
    instant_free(&instant);
    return STATUS_OK;
}
