#include "web/benches.h"

#include "base/memory.h"
#include "bench/view_json.h"
#include "report/kept.h"

#include <pthread.h>

struct benches {
    struct workshop *workshop;
    pthread_mutex_t lock;
    struct seat { /* oldest first */
        struct session *session;
        size_t users;
    } seats[BENCHES_KEPT];
    size_t count, starting; /* starting: places held */
};

static void publish(struct workshop *workshop, const char *topic, json_t *news)
{
    struct text line = TEXT_EMPTY;
    json_add_text(news, true, &line);
    json_decref(news);
    events_publish(workshop_events(workshop), topic, span_trim((struct span){line.s, line.length}));
    text_free(&line);
}

json_t *benches_said_json(const struct session_said *said)
{
    static const char *const kinds[] = {"call", "line", "mark"};
    json_t *one = said->kind == SAID_CALL && said->call.kind < CALL_KINDS ? call_json(&said->call) : json_object();
    json_put(one, "number", json_integer((json_int_t)said->number));
    json_put_words(one, "said", kinds[said->kind]);
    json_put(one, "t_s", json_number(said->call.t_s));
    json_put_words(one, "text", said->call.text);
    json_put(one, "taken_back", json_boolean(said->taken_back));
    json_put(one, "can_be_taken_back", json_boolean(said->ours && !said->taken_back && said->kind != SAID_CALL));
    return one;
}

static json_t *trouble_json(const struct session_now *now)
{
    json_t *one = json_object();
    json_put_words(one, "what", now->trouble.what);
    json_put_words(one, "remedy", now->trouble.remedy);
    json_put(one, "held", json_integer((json_int_t)now->held));
    return one;
}

static void put_lasting(struct session *session, json_t *one)
{
    struct session_said *said = memory_get(SESSION_SAID * sizeof *said);
    size_t count = session_said(session, said);
    json_t *items = json_array();
    for (size_t k = 0; k < count; k++)
        json_array_append_new(items, benches_said_json(&said[k]));
    free(said);
    json_put(one, "sample", json_integer(session_sample(session)));
    json_put_words(one, "sample_name", session_sample_name(session));
    json_put_words(one, "kind", test_kind_words[session_kind(session)]);
    json_put(one, "rate", json_number(session_rate(session)));
    json_put(one, "rehearsed", json_boolean(session_rehearsed(session)));
    json_put(one, "by_eye", json_boolean(session_by_eye(session)));
    json_put(one, "invented", json_boolean(session_invented(session)));
    if (session_left_open(session) != 0)
        json_put(one, "left_open", json_integer(session_left_open(session)));
    json_put(one, "said", items);
}

json_t *benches_json(struct session *session, bool whole)
{
    struct session_now now;
    session_now(session, &now);
    json_t *one = bench_view_json(&now.view);
    json_put(one, "recording", json_integer(session_run(session)));
    json_put_words(one, "state", session_state_words[now.state]);
    if (now.cause[0] != '\0')
        json_put_words(one, "cause", now.cause);
    if (now.trouble.status != STATUS_OK)
        json_put(one, "trouble", trouble_json(&now));
    if (whole)
        put_lasting(session, one);
    return one;
}

static void tell_seen(void *context, struct session *session)
{
    publish(context, "live", benches_json(session, false));
}

static void tell_said(void *context, struct session *session, const struct session_said *said)
{
    json_t *one = benches_said_json(said);
    json_put(one, "recording", json_integer(session_run(session)));
    json_put_words(one, "sample_name", session_sample_name(session));
    publish(context, said->kind == SAID_CALL ? "call" : "said", one);
}

/* As `rundown record` does at its end. A run without a finding keeps none: its page says why. */
static void assess_run(void *context, struct session *session)
{
    struct workshop *workshop = context;
    struct assessment assessment;
    if (kept_assess(workshop_path(workshop), session_run(session), NULL, workshop_utc_ns(workshop), &assessment, NULL) ==
        STATUS_OK)
        assessment_free(&assessment);
    workshop_tell(workshop, "run", session_run(session), session_sample(session));
}

struct benches *benches_new(struct workshop *workshop)
{
    struct benches *benches = memory_get(sizeof *benches);
    benches->workshop = workshop;
    pthread_mutex_init(&benches->lock, NULL);
    return benches;
}

void benches_free(struct benches *benches)
{
    if (benches == NULL)
        return;
    for (size_t k = 0; k < benches->count; k++) /* all are asked before one is waited for */
        session_end(benches->seats[k].session, "the workshop was closed");
    for (size_t k = 0; k < benches->count; k++)
        session_free(benches->seats[k].session);
    pthread_mutex_destroy(&benches->lock);
    free(benches);
}

static bool is_over(struct session *session)
{
    struct session_now now;
    session_now(session, &now);
    return now.state == SESSION_OVER || now.state == SESSION_LEFT_OPEN;
}

/* The oldest that is over makes room, and a place is held for one that starts. */
static enum status take_place(struct benches *benches, struct message *message)
{
    pthread_mutex_lock(&benches->lock);
    for (size_t k = 0; k < benches->count && benches->count + benches->starting == BENCHES_KEPT; k++) {
        if (benches->seats[k].users > 0 || !is_over(benches->seats[k].session))
            continue;
        session_free(benches->seats[k].session);
        benches->count--;
        memmove(&benches->seats[k], &benches->seats[k + 1], (benches->count - k) * sizeof *benches->seats);
    }
    bool room = benches->count + benches->starting < BENCHES_KEPT;
    benches->starting += room;
    pthread_mutex_unlock(&benches->lock);
    if (room)
        return STATUS_OK;
    status_fail(message, STATUS_LIMIT, "%d recordings run already", BENCHES_KEPT);
    return status_remedy(message, "end one of them first");
}

enum status benches_start(struct benches *benches, struct session_request *request, int64_t *ret_run,
                          struct message *message)
{
    struct session *session = NULL;
    request->heed = (struct session_heed){tell_seen, tell_said, assess_run, benches->workshop};
    enum status status = take_place(benches, message);
    if (status != STATUS_OK)
        return status;
    status = session_start(request, &session, message);
    pthread_mutex_lock(&benches->lock);
    benches->starting--;
    int64_t sample = 0;
    if (status == STATUS_OK) {
        benches->seats[benches->count++] = (struct seat){session, 0};
        *ret_run = session_run(session); /* while nobody can give its seat away */
        sample = session_sample(session);
    }
    pthread_mutex_unlock(&benches->lock);
    if (status == STATUS_OK)
        workshop_tell(benches->workshop, "run", *ret_run, sample);
    return status;
}

/* The latest session of a run: one that was given up can be resumed, and then has two. */
static struct seat *find(struct benches *benches, int64_t run)
{
    for (size_t k = benches->count; k-- > 0;)
        if (session_run(benches->seats[k].session) == run)
            return &benches->seats[k];
    return NULL;
}

struct session *benches_take(struct benches *benches, int64_t run)
{
    pthread_mutex_lock(&benches->lock);
    struct seat *seat = find(benches, run);
    if (seat != NULL)
        seat->users++;
    struct session *session = seat != NULL ? seat->session : NULL;
    pthread_mutex_unlock(&benches->lock);
    return session;
}

void benches_put(struct benches *benches, struct session *session)
{
    pthread_mutex_lock(&benches->lock);
    for (size_t k = 0; k < benches->count; k++)
        benches->seats[k].users -= benches->seats[k].session == session;
    pthread_mutex_unlock(&benches->lock);
}

bool benches_record(struct benches *benches, int64_t run)
{
    struct session *session = benches_take(benches, run);
    if (session == NULL)
        return false;
    struct session_now now;
    session_now(session, &now);
    benches_put(benches, session);
    return now.state != SESSION_LEFT_OPEN && now.state != SESSION_OVER;
}

size_t benches_runs(struct benches *benches, int64_t ret_runs[static BENCHES_KEPT])
{
    size_t count = 0;
    pthread_mutex_lock(&benches->lock);
    for (size_t k = benches->count; k-- > 0;) {
        int64_t run = session_run(benches->seats[k].session);
        if (find(benches, run) == &benches->seats[k])
            ret_runs[count++] = run;
    }
    pthread_mutex_unlock(&benches->lock);
    return count;
}
