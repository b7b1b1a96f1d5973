#include "rehearsal/diary.h"

static void add_time(struct text *text, double t_s)
{
    long s = lround(t_s);
    text_addf(text, "%3ld:%02ld:%02ld  ", s / 3600, s / 60 % 60, s % 60);
}

static void add_segment(const struct script *script, size_t k, struct text *text)
{
    const struct load_segment *segment = &script->segments[k];
    switch (segment->kind) {
    case SEGMENT_REST: text_add(text, "rest"); break;
    case SEGMENT_POWER: text_addf(text, "load of %.6g W", segment->amount + segment->idle_w); break;
    case SEGMENT_CURRENT: text_addf(text, "load of %.6g A", segment->amount); break;
    case SEGMENT_RESISTANCE: text_addf(text, "load of %.6g ohm", segment->amount); break;
    case SEGMENT_CHARGE:
        text_addf(text, "charger, %.6g A to %.6g V", segment->amount, segment->charge_v);
        break;
    }
    if (script->is_burst[k])
        text_add(text, ", the burst");
    if (segment->touches)
        text_addf(text, "; the board's sensor held at %.6g °C", segment->touch_degc);
    text_add(text, "\n");
}

static void add_event(const struct truth *truth, size_t k, struct text *text)
{
    static const struct truth_event before = {.state = BMS_CLOSED, .climate = BMS_MILD};
    const struct truth_event *event = &truth->events[k], *last = k > 0 ? event - 1 : &before;
    if (event->climate == BMS_TOO_COLD && last->climate != BMS_TOO_COLD)
        text_addf(text, "board: too cold to charge, its sensor at %.1f °C\n", event->sensor_degc);
    else if (event->climate == BMS_TOO_HOT && last->climate != BMS_TOO_HOT)
        text_addf(text, "board: too hot to charge, its sensor at %.1f °C\n", event->sensor_degc);
    else if (event->climate != last->climate)
        text_addf(text, "board: charging allowed again, its sensor at %.1f °C\n", event->sensor_degc);
    else if (event->state == BMS_DARK_UNDER_VOLTAGE)
        text_addf(text, "board: opened for an empty cell, at %.2f V and %.1f A\n", event->v, event->a);
    else if (event->state == BMS_DARK_OVER_CURRENT)
        text_addf(text, "board: opened for too much current, at %.2f V and %.1f A\n", event->v, event->a);
    else if (event->state == BMS_CHARGE_STOPPED)
        text_addf(text, "board: a cell is full, at %.2f V\n", event->v);
    else
        text_add(text, "board: closed again\n");
}

bool diary_tell(struct diary *diary, double t_s, struct text *text)
{
    const struct truth *truth = &diary->rehearsal->truth;
    const struct script *script = diary->rehearsal->script;
    bool told = false;
    for (;; told = true) {
        double segment_s = diary->segment < script->count ? truth->segment_s[diary->segment] : INFINITY;
        double event_s = diary->event < truth->events_count ? truth->events[diary->event].at_s : INFINITY;
        double next_s = fmin(segment_s, event_s);
        if (next_s > t_s || isinf(next_s))
            return told;
        add_time(text, next_s);
        /* What ends a part is told before the next begins; what a charger wakes, after it was put on. */
        bool ends = event_s == segment_s && truth->events[diary->event].state != BMS_CLOSED;
        if (segment_s <= event_s && !ends)
            add_segment(script, diary->segment++, text);
        else
            add_event(truth, diary->event++, text);
    }
}

void diary_sum_up(const struct rehearsal *rehearsal, struct text *text)
{
    const struct truth *truth = &rehearsal->truth;
    static const char *const how[] = {[END_OPERATOR] = "ended by the program",
                                      [END_UNDER_VOLTAGE] = "ended by the board, for an empty cell",
                                      [END_OVER_CURRENT] = "ended by the board, for too much current",
                                      [END_LOAD] = "ended by the load"};
    text_add(text, "What was true:\n");
    if (truth->discharge_ah > 0) {
        text_addf(text, "  %.3f Ah and %.2f Wh left the pack, at a mean of %.3f V\n", truth->discharge_ah,
                  truth->discharge_wh, truth->discharge_wh / truth->discharge_ah);
        text_addf(text, "  the discharge was %s, at %.3f V, %.3f Ah and %.2f Wh, in\n", how[truth->end],
                  truth->end_v, truth->end_ah, truth->end_wh);
        add_time(text, truth->end_s);
        text_add(text, "from the start of the rehearsal\n");
    }
    if (truth->charge_in_ah > 0)
        text_addf(text, "  %.3f Ah and %.2f Wh were charged\n", truth->charge_in_ah, truth->charge_in_wh);
    for (size_t k = 0; k < rehearsal->script->count; k++)
        if (rehearsal->script->is_burst[k] && !isnan(rehearsal->costs[k].energy_wh))
            text_addf(text, "  the burst cost %.2f of %.1f Wh\n", rehearsal->costs[k].energy_wh,
                      rehearsal->costs[k].base_wh);
    for (size_t k = 1; k < rehearsal->script->count; k++)
        if (!isnan(rehearsal->shown_ohm[k][1]) && rehearsal->script->segments[k].kind != SEGMENT_REST) {
            add_time(text, truth->segment_s[k]);
            text_addf(text, "%.2f mohm, 10 s after the step\n", rehearsal->shown_ohm[k][1] * 1e3);
        }
}
