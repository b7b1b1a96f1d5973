#include "bench/session_parts.h"

#include "base/memory.h"
#include "bench/patience.h"

static const int64_t second_ns = 1000000000, seen_ns = 50000000;
static const double turn_s = 0.05; /* of the machine: how long one who asks may wait */
enum { CLOSING_TRIES = 3 };

const char *const session_state_words[] = {"recording", "ending", "assessing", "ended", "left open"};

static int64_t machine_ns(const struct session *session)
{
    return session->machine.now_ns(session->machine.context);
}

void session_remember(struct session *session, struct session_said *said)
{
    said->number = ++session->said_count;
    session->said[said->number % SESSION_SAID] = *said;
}

static void tell_said(struct session *session, const struct session_said *said)
{
    if (session->heed.said != NULL)
        session->heed.said(session->heed.context, session, said);
}

static void hear_call(void *context, const struct call *call)
{
    struct session *session = context;
    struct session_said said = {.kind = SAID_CALL, .call = *call, .ours = true};
    pthread_mutex_lock(&session->lock);
    session_remember(session, &said);
    pthread_mutex_unlock(&session->lock);
    tell_said(session, &said);
}

static void view_taken(struct session *session, const struct bench_view *view)
{
    const struct bench_view *old = &session->seen;
    session->dirty |= view->readings != old->readings || view->committed != old->committed ||
                      view->lost_instruments != old->lost_instruments || view->unwritable != old->unwritable;
    session->seen = *view;
    pthread_mutex_lock(&session->lock);
    session->now.view = *view;
    if (view->forecast != NULL)
        session->now.forecast = *view->forecast;
    pthread_mutex_unlock(&session->lock);
}

/* Now, when what is new has waited for its turn; and once a second in any case. */
static void tell_seen(struct session *session, bool at_once)
{
    int64_t now_ns = machine_ns(session), since_ns = now_ns - session->seen_at_ns;
    if (!at_once && since_ns < (session->dirty ? seen_ns : second_ns))
        return;
    session->dirty = false;
    session->seen_at_ns = now_ns;
    if (session->heed.seen != NULL)
        session->heed.seen(session->heed.context, session);
}

static void set_state(struct session *session, enum session_state state)
{
    pthread_mutex_lock(&session->lock);
    session->now.state = state;
    pthread_mutex_unlock(&session->lock);
    tell_seen(session, true);
}

static enum status say(struct session *session, struct session_asked *asked)
{
    size_t line = recorder_lines(session->recorder);
    const struct clock *clock = recorder_clock(session->recorder);
    double ago_s = (double)(machine_ns(session) - asked->pressed_ns) * 1e-9;
    int64_t at_ns = clock->now_ns(clock->context) - llround(ago_s * clock->rate * 1e9);
    enum status status = recorder_say(session->recorder, asked->line, at_ns, &asked->message);
    if (status != STATUS_OK)
        return status;
    bool reading;
    double t_s = recorder_line_s(session->recorder, line, &reading);
    asked->said = (struct session_said){.kind = reading ? SAID_LINE : SAID_MARK, .ours = true, .line = line};
    asked->said.call = call_make(CALL_KINDS, t_s, false, "%s", asked->line[0] != '\0' ? asked->line : "mark");
    pthread_mutex_lock(&session->lock);
    session_remember(session, &asked->said);
    pthread_mutex_unlock(&session->lock);
    return STATUS_OK;
}

static enum status take_back(struct session *session, struct session_asked *asked)
{
    size_t n = asked->number;
    struct session_said *said = &session->said[n % SESSION_SAID]; /* read here, changed under the lock */
    if (n == 0 || said->number != n || said->kind == SAID_CALL || !said->ours) {
        status_fail(&asked->message, STATUS_USAGE, "this line cannot be taken back any more");
        return status_remedy(&asked->message, "put a mark that says what was wrong with it");
    }
    enum status status = recorder_take_back(session->recorder, said->line, &asked->message);
    if (status != STATUS_OK)
        return status;
    pthread_mutex_lock(&session->lock);
    said->taken_back = true;
    asked->said = *said;
    pthread_mutex_unlock(&session->lock);
    return STATUS_OK;
}

/* One turn; whether every instrument has come to its end. */
static bool turn(struct session *session, double timeout_s)
{
    struct bench_view view;
    bool over = false;
    recorder_turn(session->recorder, timeout_s, hear_call, session, &view, &over);
    view_taken(session, &view);
    return over;
}

/* What is answered has been committed, unless the book cannot be written, which the view says. */
static void answer_asked(struct session *session, bool deaf)
{
    pthread_mutex_lock(&session->lock);
    struct session_asked *all = session->first;
    session->first = NULL;
    session->last = &session->first;
    session->deaf |= deaf;
    pthread_mutex_unlock(&session->lock);
    if (all == NULL)
        return;
    for (struct session_asked *asked = all; asked != NULL; asked = asked->next)
        asked->message.status = deaf ? status_fail(&asked->message, STATUS_USAGE, "the recording has ended")
                                : asked->line != NULL ? say(session, asked)
                                                      : take_back(session, asked);
    if (!deaf)
        turn(session, 0);
    for (struct session_asked *asked = all; asked != NULL; asked = asked->next)
        if (asked->message.status == STATUS_OK)
            tell_said(session, &asked->said);
    pthread_mutex_lock(&session->lock);
    for (struct session_asked *asked = all, *next; asked != NULL; asked = next) {
        next = asked->next;
        asked->done = true; /* from here on it is gone */
    }
    pthread_cond_broadcast(&session->answered);
    pthread_mutex_unlock(&session->lock);
}

static bool asked_to_end(struct session *session)
{
    pthread_mutex_lock(&session->lock);
    bool asked = session->end_asked;
    pthread_mutex_unlock(&session->lock);
    return asked;
}

static void record(struct session *session)
{
    while (!asked_to_end(session)) {
        double due_s = (double)(session->seen_at_ns + seen_ns - machine_ns(session)) * 1e-9;
        bool over = turn(session, session->dirty ? fmax(fmin(turn_s, due_s), 0) : turn_s);
        answer_asked(session, false);
        tell_seen(session, false);
        if (over)
            session_end(session, "every instrument came to its end");
        else if (session->rehearsed != NULL && rehearsed_over(session->rehearsed))
            session_end(session, "the rehearsal is over");
    }
}

static bool given_up(void *context)
{
    struct session *session = context;
    pthread_mutex_lock(&session->lock);
    bool up = session->given_up || (session->closing && ++session->closing_tries > CLOSING_TRIES);
    pthread_mutex_unlock(&session->lock);
    return up;
}

static void note_trouble(void *context, const struct message *fault, size_t held)
{
    struct session *session = context;
    pthread_mutex_lock(&session->lock);
    session->now.trouble = *fault;
    session->now.held = held;
    pthread_mutex_unlock(&session->lock);
    tell_seen(session, true);
}

/* From here on the sample may be recorded anew. */
static void close_both(struct session *session)
{
    recorder_close(session->recorder);
    rehearsed_close(session->rehearsed);
    session->recorder = NULL;
    session->rehearsed = NULL;
}

static void *work(void *context)
{
    struct session *session = context;
    struct message fault = {0};
    record(session);
    answer_asked(session, true);
    set_state(session, SESSION_ENDING);
    struct patience patience = {PATIENCE_TRIES, given_up, note_trouble, session};
    enum status status = patience_end(session->recorder, session->now.cause, &patience, &fault);
    if (status == STATUS_OK)
        fault = (struct message){0}; /* of a try that failed before */
    pthread_mutex_lock(&session->lock);
    session->now.view.committed = status == STATUS_OK;
    session->now.trouble = fault;
    session->now.held = recorder_held(session->recorder);
    pthread_mutex_unlock(&session->lock);
    close_both(session);
    if (status == STATUS_OK) {
        set_state(session, SESSION_JUDGED);
        if (session->heed.over != NULL)
            session->heed.over(session->heed.context, session);
    }
    set_state(session, status == STATUS_OK ? SESSION_OVER : SESSION_LEFT_OPEN);
    return NULL;
}

static void release(struct session *session)
{
    close_both(session);
    for (size_t k = 0; k < session->text_count; k++)
        free(session->texts[k]);
    pthread_cond_destroy(&session->answered);
    pthread_mutex_destroy(&session->lock);
    free(session);
}

enum status session_start(const struct session_request *request, struct session **ret_session, struct message *message)
{
    struct session *session = memory_get(sizeof *session);
    session->heed = request->heed;
    session->last = &session->first;
    session->machine = clock_machine();
    session->now.view = (struct bench_view){.v = NAN, .a = NAN, .w = NAN, .degc = NAN, .ah = NAN, .wh = NAN};
    pthread_mutex_init(&session->lock, NULL);
    pthread_cond_init(&session->answered, NULL);
    enum status status = session_begin(session, request, message);
    bool begun = status == STATUS_OK;
    if (begun && pthread_create(&session->thread, NULL, work, session) != 0) {
        status = status_fail(message, STATUS_LIMIT, "the machine has no room for another recording");
        (void)recorder_end(session->recorder, "it could not begin", NULL);
    }
    if (status != STATUS_OK) {
        release(session);
        return status;
    }
    *ret_session = session;
    return STATUS_OK;
}

void session_free(struct session *session)
{
    if (session == NULL)
        return;
    session_end(session, "the workshop was closed");
    pthread_mutex_lock(&session->lock);
    session->closing = true;
    pthread_mutex_unlock(&session->lock);
    pthread_join(session->thread, NULL);
    release(session);
}

void session_now(struct session *session, struct session_now *ret_now)
{
    pthread_mutex_lock(&session->lock);
    *ret_now = session->now;
    pthread_mutex_unlock(&session->lock);
    if (ret_now->view.forecast != NULL)
        ret_now->view.forecast = &ret_now->forecast;
}

size_t session_said(struct session *session, struct session_said ret_said[static SESSION_SAID])
{
    pthread_mutex_lock(&session->lock);
    size_t last = session->said_count, count = last < SESSION_SAID ? last : SESSION_SAID;
    for (size_t k = 0; k < count; k++)
        ret_said[k] = session->said[(last - count + 1 + k) % SESSION_SAID];
    pthread_mutex_unlock(&session->lock);
    return count;
}

static enum status ask(struct session *session, struct session_asked *asked, struct message *message)
{
    pthread_mutex_lock(&session->lock);
    if (session->deaf) {
        asked->message.status = status_fail(&asked->message, STATUS_USAGE, "the recording has ended");
    } else {
        *session->last = asked;
        session->last = &asked->next;
        while (!asked->done)
            pthread_cond_wait(&session->answered, &session->lock);
    }
    pthread_mutex_unlock(&session->lock);
    if (asked->message.status != STATUS_OK && message != NULL)
        *message = asked->message;
    return asked->message.status;
}

enum status session_say(struct session *session, const char *line, double ago_s, struct session_said *ret_said,
                        struct message *message)
{
    struct session_asked asked = {.line = line, .pressed_ns = machine_ns(session) - llround(ago_s * 1e9)};
    enum status status = ask(session, &asked, message);
    if (status == STATUS_OK)
        *ret_said = asked.said;
    return status;
}

enum status session_take_back(struct session *session, size_t number, struct message *message)
{
    struct session_asked asked = {.number = number};
    return ask(session, &asked, message);
}

void session_end(struct session *session, const char *cause)
{
    pthread_mutex_lock(&session->lock);
    if (!session->end_asked)
        snprintf(session->now.cause, sizeof session->now.cause, "%s", cause);
    session->end_asked = true;
    pthread_mutex_unlock(&session->lock);
}

void session_give_up(struct session *session)
{
    pthread_mutex_lock(&session->lock);
    session->given_up = session->end_asked;
    pthread_mutex_unlock(&session->lock);
}

int64_t session_run(const struct session *session)
{
    return session->run;
}

int64_t session_sample(const struct session *session)
{
    return session->sample;
}

const char *session_sample_name(const struct session *session)
{
    return session->sample_name;
}

enum test_kind session_kind(const struct session *session)
{
    return session->kind;
}

double session_rate(const struct session *session)
{
    return session->rate;
}

bool session_rehearsed(const struct session *session)
{
    return session->is_rehearsed;
}

bool session_by_eye(const struct session *session)
{
    return session->by_eye;
}

bool session_invented(const struct session *session)
{
    return session->invented;
}

int64_t session_left_open(const struct session *session)
{
    return session->left_open;
}
