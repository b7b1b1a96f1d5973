#include "bench/watch.h"

#include "base/memory.h"
#include "base/number.h"
#include "bench/limit_watch.h"

static const double ahead_usual_s = 300;
static const double least_load_it = 0.005;   /* of the rated Ah in an hour: less is no load worth the name */
static const double burst_like = 0.8;        /* of the planned current, as in bench/forecast.c */
static const double silent_s = 10;           /* without a reading at the knee: the meter may have gone dark */
static const double often_s = 10, seldom_s = 30; /* between forecasts of its own: at first and at the knee, later on */
static const double often_share = 4e-3;      /* of the run: in between */
enum { STEPS_CALLED = 12 };                  /* a load that comes and goes is called no further */

struct watch {
    struct rig rig;
    struct forecast_asked asked;
    double ahead_s;
    struct track track;
    struct forecast_work *work;
    struct forecast forecast;
    bool stale;
    struct limit_watch limits;
    size_t steps_called;
    bool said_rated_ah, said_rated_wh, said_knee, said_end, said_reversed;
    bool cued_half, cued_rated, cued_cut_off, cued_knee;
    struct call *calls; /* the caller's, while a reading is looked at */
    size_t count;
};

struct reading_now reading_none(double t_s)
{
    return (struct reading_now){t_s, NAN, NAN, NAN, NAN, NAN, NAN};
}

/* An overload mark is no number. */
static double heard(double x)
{
    return isfinite(x) ? x : NAN;
}

static void say(struct watch *watch, const struct call *call)
{
    if (watch->count < WATCH_CALLS)
        watch->calls[watch->count++] = *call;
}

struct watch *watch_new(const struct watch_setup *setup)
{
    struct watch *watch = memory_get(sizeof *watch);
    const struct label *label = setup->label;
    bool charge = setup->goal == GOAL_CHARGE;
    watch->rig = *setup->rig;
    watch->ahead_s = setup->cue_ahead_s > 0 ? setup->cue_ahead_s : ahead_usual_s;
    watch->asked = (struct forecast_asked){.goal = setup->goal, .rated_ah = NAN, .rated_wh = NAN, .cut_off_v = NAN,
                                           .burst_at_ah = NAN, .burst_a = NAN, .burst_s = NAN};
    if (label != NULL) {
        watch->asked.rated_ah = label->rated_ah;
        watch->asked.rated_wh = label->rated_wh;
        watch->asked.cut_off_v = label->cut_off_v;
        watch->asked.cells = label->cells;
    }
    if (setup->plan != NULL) {
        watch->asked.burst_at_ah = setup->plan->burst_at_ah;
        watch->asked.burst_a = setup->plan->burst.a;
        watch->asked.burst_s = setup->plan->burst_s;
        watch->asked.cut_off_v = fmax(watch->asked.cut_off_v, setup->plan->gives_up_v); /* fmax passes over NaN */
    }
    track_init(&watch->track, &watch->rig, charge ? -1 : 1, watch->asked.rated_ah * least_load_it);
    watch->work = forecast_work_new();
    limit_watch_init(&watch->limits, &setup->limits, charge ? "take the charger off" : "take the load off");
    forecast_make(&watch->track, &watch->asked, watch->work, &watch->forecast);
    return watch;
}

void watch_free(struct watch *watch)
{
    if (watch != NULL)
        forecast_work_free(watch->work);
    free(watch);
}

const struct forecast *watch_forecast(struct watch *watch)
{
    if (watch->stale && !(watch->track.t_s - watch->forecast.t_s < 1 && watch->track.flowing))
        forecast_make(&watch->track, &watch->asked, watch->work, &watch->forecast);
    watch->stale = false;
    return &watch->forecast;
}

/* --- before --- */

size_t watch_before(const struct watch_setup *setup, struct call ret_calls[WATCH_CALLS])
{
    size_t count = 0;
    if (setup->label == NULL || setup->goal != GOAL_DISCHARGE || isnan(setup->label->rated_ah))
        return 0;
    struct plan plan = plan_make(setup->label, setup->rig, NULL);
    for (size_t k = 0; k < plan.count && count < WATCH_CALLS; k++) {
        const struct prospect *prospect = &plan.prospects[k];
        bool amount = prospect->claim->kind == CLAIM_CAPACITY || prospect->claim->kind == CLAIM_ENERGY;
        if (!amount || prospect->outlook == OUTLOOK_DECIDES)
            continue;
        const char *symbol = quantity_symbol(prospect->claim->quantity);
        ret_calls[count++] = call_make(
            CALL_TOO_WIDE, 0, false,
            "This rig will know %.4g %s only to ±%.2g %s, so a sample within that of its claim stays undecided%s%s.",
            prospect->claim->stated, symbol, prospect->half_width, symbol,
            prospect->cheapest[0] != '\0' ? "; what would settle it most cheaply: " : "", prospect->cheapest);
    }
    plan_free(&plan);
    return count;
}

/* --- what a reading changes --- */

static void say_step(struct watch *watch, enum track_news news)
{
    const struct track_step *step = &watch->track.step;
    bool began = news == TRACK_BEGAN;
    if (watch->steps_called > STEPS_CALLED)
        return;
    struct call call;
    if (watch->steps_called++ == STEPS_CALLED)
        call = call_make(CALL_STEP, step->at_s, false, "The load keeps changing; its steps are recorded and no longer called.");
    else if (began)
        call = call_make(CALL_STEP, step->at_s, false, "%s is on: %.4g A at %.2f V.",
                         watch->asked.goal == GOAL_CHARGE ? "The charger" : "The load", step->to_a, step->to_v);
    else
        call = call_make(CALL_STEP, step->at_s, false, "The current went from %.4g A to %.4g A and the volts from %.2f V to %.2f V.",
                         step->from_a, step->to_a, step->from_v, step->to_v);
    say(watch, &call);
}

static void amounts(const struct watch *watch, char *buffer, size_t size)
{
    char ah[48], wh[48], duration[32];
    measure_print(&watch->forecast.ah_now, "Ah", ah, sizeof ah);
    measure_print(&watch->forecast.wh_now, "Wh", wh, sizeof wh);
    number_print_duration(watch->track.ended_s - watch->track.began_s, duration, sizeof duration);
    snprintf(buffer, size, "after %s, with %s and %s", duration, ah, wh);
}

/* The current has gone: at the end of the run, or because somebody switched off on the way. */
static void say_ended(struct watch *watch)
{
    const struct track *track = &watch->track;
    char so_far[192];
    watch->stale = true;
    (void)watch_forecast(watch);
    amounts(watch, so_far, sizeof so_far);
    struct call call;
    if (watch->asked.goal == GOAL_CHARGE) {
        call = call_make(CALL_END, track->ended_s, true, "The charge ended %s; the last volts were %.2f V.", so_far,
                         track->ended_v);
    } else if (track_emptied(track, watch->asked.cells)) {
        call = call_make(CALL_END, track->ended_s, true, "The discharge ended %s; the last volts under load were %.2f V, %s.",
                         so_far, track->ended_v,
                         track_dark(track) ? "and the terminals went dark" : "and they came back when the load went");
    } else {
        if (watch->steps_called++ > STEPS_CALLED)
            return;
        call = call_make(CALL_STEP, track->ended_s, false, "The load went off %s; the volts were %.2f V and are %.2f V now.",
                         so_far, track->ended_v, track->v);
    }
    say(watch, &call);
}

static void say_reversed(struct watch *watch)
{
    const struct track *track = &watch->track;
    if (watch->said_reversed || watch->asked.goal == GOAL_NONE || !isnan(track->began_s) || !(track->base_a < -track->rest_a))
        return; /* after a discharge a charger may come */
    watch->said_reversed = true;
    bool charge = watch->asked.goal == GOAL_CHARGE;
    struct call call = call_make(CALL_STEP, track->t_s, true,
                                 "%.4g A %s the sample in a run that is to be a %s: if they do not, turn the sign in the rig file.",
                                 -track->base_a, charge ? "leave" : "enter", charge ? "charge" : "discharge");
    say(watch, &call);
}

static void say_rated(struct watch *watch, bool energy)
{
    bool *said = energy ? &watch->said_rated_wh : &watch->said_rated_ah;
    double now = energy ? track_wh(&watch->track) : track_ah(&watch->track);
    double rated = energy ? watch->asked.rated_wh : watch->asked.rated_ah;
    if (*said || !(now >= rated))
        return;
    *said = true;
    char amount[48], duration[32];
    watch->stale = true;
    const struct forecast *f = watch_forecast(watch);
    measure_print(energy ? &f->wh_now : &f->ah_now, energy ? "Wh" : "Ah", amount, sizeof amount);
    number_print_duration(watch->track.t_s - watch->track.began_s, duration, sizeof duration);
    struct call call = call_make(energy ? CALL_RATED_ENERGY : CALL_RATED_CHARGE, watch->track.t_s, true,
                                 "The rated %.4g %s has passed after %s, at %.2f V (%s by this rig).", rated,
                                 energy ? "Wh" : "Ah", duration, watch->track.v, amount);
    say(watch, &call);
}

/* --- what is to come --- */

/* `in 12 to 19 min`, from the 95 % interval. */
static void in_minutes(const struct measure *at_s, double t_s, char *buffer, size_t size)
{
    double lo = fmax(0, at_s->lo - t_s) / 60, hi = fmax(0, at_s->hi - t_s) / 60;
    if (round(hi) <= round(lo))
        snprintf(buffer, size, "in about %.0f min", fmax(1, round(hi)));
    else if (lo < 0.5)
        snprintf(buffer, size, "within %.0f min", ceil(hi));
    else
        snprintf(buffer, size, "in %.0f to %.0f min", floor(lo), ceil(hi));
}

static bool due(const struct watch *watch, const struct measure *at_s, double t_s)
{
    return measure_known(at_s) && at_s->lo - t_s <= watch->ahead_s && at_s->hi > t_s;
}

static void cue_rated_and_half(struct watch *watch, double t_s)
{
    const struct forecast *f = &watch->forecast;
    const struct forecast_asked *asked = &watch->asked;
    char when[48], duration[32];
    watch->cued_half |= watch->track.base_a > burst_like * asked->burst_a; /* there it is */
    if (!watch->cued_half && asked->burst_a > 0 && f->ah < asked->burst_at_ah && due(watch, &f->half_way_s, t_s)) {
        watch->cued_half = true;
        in_minutes(&f->half_way_s, t_s, when, sizeof when);
        number_print_duration(asked->burst_s, duration, sizeof duration);
        struct call call = call_make(CALL_CUE, t_s, true, "The burst of the plan is due %s, at %.4g Ah: about %.3g A for %s. "
                                     "Take up the camera.", when, asked->burst_at_ah, asked->burst_a, duration);
        say(watch, &call);
    }
    if (!watch->cued_rated && f->ah < asked->rated_ah && due(watch, &f->rated_at_s, t_s)) {
        watch->cued_rated = true;
        in_minutes(&f->rated_at_s, t_s, when, sizeof when);
        struct call call = call_make(CALL_CUE, t_s, true, "The rated %.4g Ah will have passed %s; %.4g Ah so far. Film now.",
                                     asked->rated_ah, when, f->ah);
        say(watch, &call);
    }
}

/* On the plateau its early edge rests on what packs hold and comes early: once; at the knee again. */
static void cue_cut_off(struct watch *watch, double t_s)
{
    const struct forecast *f = &watch->forecast;
    char when[48];
    if (watch->asked.goal != GOAL_DISCHARGE || !measure_known(&f->cut_off_at_s))
        return;
    in_minutes(&f->cut_off_at_s, t_s, when, sizeof when);
    if (f->knee && !watch->said_knee) {
        watch->said_knee = watch->cued_cut_off = true;
        struct call call = call_make(CALL_KNEE, t_s, true, "The volts have left the plateau, %.2f V now: cut-off is expected %s.",
                                     watch->track.v, when);
        say(watch, &call);
    }
    bool *cued = watch->said_knee ? &watch->cued_knee : &watch->cued_cut_off;
    if (!*cued && due(watch, &f->cut_off_at_s, t_s)) {
        *cued = true;
        struct call call =
            watch->said_knee
                ? call_make(CALL_CUE, t_s, true, "Cut-off is expected %s, at %.4g Ah now. Film now.", when, f->ah)
                : call_make(CALL_CUE, t_s, true, "The pack may stop from now on, by what packs of its rating hold; it is "
                                "expected to %s. The volts do not tell yet: have the camera at hand.", when);
        say(watch, &call);
    }
}

static void look_ahead(struct watch *watch, double t_s)
{
    double share_s = often_share * (t_s - watch->track.began_s); /* fmax passes over NaN */
    double every_s = watch->said_knee ? often_s : fmin(fmax(often_s, share_s), seldom_s);
    if (watch->stale && !(t_s - watch->forecast.t_s < every_s)) {
        forecast_make(&watch->track, &watch->asked, watch->work, &watch->forecast);
        watch->stale = false;
    }
    if (!watch->track.flowing)
        return;
    cue_rated_and_half(watch, t_s);
    cue_cut_off(watch, t_s);
}

static void take_volts_and_amps(struct watch *watch, const struct reading_now *now)
{
    enum track_news news = track_add(&watch->track, now->t_s, now->v, now->a);
    watch->stale = true;
    if (news == TRACK_BEGAN || news == TRACK_STEPPED) {
        watch->said_end = false;
        say_step(watch, news);
    } else if (news == TRACK_ENDED && !watch->said_end) {
        watch->said_end = true;
        say_ended(watch);
    }
    say_reversed(watch);
    if (watch->asked.goal != GOAL_NONE) {
        say_rated(watch, false);
        say_rated(watch, true);
    }
}

size_t watch_reading(struct watch *watch, const struct reading_now *now, struct call ret_calls[WATCH_CALLS])
{
    watch->calls = ret_calls;
    watch->count = 0;
    if (!isfinite(now->t_s) || now->t_s < watch->track.t_s) /* false before the first */
        return 0;
    bool both = isfinite(now->v) && isfinite(now->a);
    if (both)
        take_volts_and_amps(watch, now);
    struct limited limited = {now->t_s, heard(now->v), heard(now->cell_low_v), heard(now->cell_high_v),
                              heard(fabs(now->a)), heard(now->degc), both && now->a > watch->track.rest_a};
    watch->count = limit_watch_reading(&watch->limits, &limited, ret_calls, watch->count, WATCH_CALLS);
    look_ahead(watch, now->t_s);
    return watch->count;
}

size_t watch_idle(struct watch *watch, double t_s, struct call ret_calls[WATCH_CALLS])
{
    const struct track *track = &watch->track;
    watch->calls = ret_calls;
    watch->count = 0;
    if (track->flowing && watch->said_knee && !watch->said_end && t_s - track->t_s > silent_s) {
        watch->said_end = true;
        struct call call = call_make(CALL_END, track->t_s, true,
                                     "Nothing has been read since %.2f V, near empty, with %.4g Ah: a meter that the sample "
                                     "feeds goes dark when the BMS opens.", track->v, track_ah(track));
        say(watch, &call);
    }
    look_ahead(watch, t_s);
    return watch->count;
}
