#include "http/door.h"

#include "base/memory.h"

#include <errno.h>
#include <pthread.h>
#include <sys/random.h>

/* Without 0 O 1 I L U: what is read aloud or off a screen. 30^8 is 6.6e11 codes. */
static const char code_letters[] = "23456789ABCDEFGHJKMNPQRSTVWXYZ";
static const char token_letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"; /* RFC 4648 5 */

enum { GUESSERS = 64, GUESSES = 10 };
static const int64_t second_ns = 1000000000, guess_ns = 600 * second_ns, unused_ns = 12 * 3600 * second_ns,
                     slow_ns = second_ns / 4;

struct session {
    char token[DOOR_TOKEN]; /* "" none */
    char name[16], from[64];
    enum http_role role;
    int64_t used_ns;
};

/* Who gave wrong codes. */
struct guesser {
    char from[64]; /* "" none */
    int wrong;
    int64_t first_ns, last_ns;
};

struct door {
    pthread_mutex_t lock;
    struct clock clock;
    char codes[HTTP_OPERATOR + 1][DOOR_CODE];
    struct session sessions[DOOR_SESSIONS];
    struct guesser guessers[GUESSERS];
};

static void random_bytes(unsigned char *bytes, size_t count)
{
    for (size_t got = 0; got < count;) {
        ssize_t n = getrandom(bytes + got, count - got, 0);
        if (n > 0)
            got += (size_t)n;
        else if (n < 0 && errno != EINTR)
            abort(); /* a system without randomness cannot keep a door */
    }
}

/* Each letter equally likely: bytes beyond the last whole multiple are drawn again. */
static void random_letters(const char *letters, char *text, size_t count)
{
    size_t known = strlen(letters), limit = 256 - 256 % known;
    for (size_t k = 0; k < count;) {
        unsigned char byte;
        random_bytes(&byte, 1);
        if (byte < limit)
            text[k++] = letters[byte % known];
    }
    text[count] = '\0';
}

/* Both hold `size` bytes; takes the same time wherever they differ. */
static bool same(const char *a, const char *b, size_t size)
{
    volatile unsigned char differs = 0;
    for (size_t k = 0; k < size; k++)
        differs |= (unsigned char)(a[k] ^ b[k]);
    return differs == 0;
}

static int64_t now(const struct door *door)
{
    return door->clock.now_ns(door->clock.context);
}

void door_new_codes(struct door *door)
{
    pthread_mutex_lock(&door->lock);
    for (int role = HTTP_READER; role <= HTTP_OPERATOR; role++)
        random_letters(code_letters, door->codes[role], DOOR_CODE - 1);
    pthread_mutex_unlock(&door->lock);
}

struct door *door_new(const struct clock *clock)
{
    struct door *door = memory_get(sizeof *door);
    pthread_mutex_init(&door->lock, NULL);
    door->clock = *clock;
    door_new_codes(door);
    return door;
}

void door_free(struct door *door)
{
    if (door == NULL)
        return;
    pthread_mutex_destroy(&door->lock);
    explicit_bzero(door, sizeof *door);
    free(door);
}

void door_code(struct door *door, enum http_role role, char ret_code[static DOOR_CODE])
{
    pthread_mutex_lock(&door->lock);
    memcpy(ret_code, door->codes[role], DOOR_CODE);
    pthread_mutex_unlock(&door->lock);
}

/* Under the lock: the place of an address among the guessers, taken from whoever guessed longest ago. */
static struct guesser *guesser_of(struct door *door, const char *from)
{
    struct guesser *place = &door->guessers[0];
    for (size_t k = 0; k < GUESSERS; k++) {
        struct guesser *one = &door->guessers[k];
        if (strcmp(one->from, from) == 0) {
            place = one;
            break;
        }
        if (one->last_ns < place->last_ns || one->from[0] == '\0')
            place = one;
    }
    if (strcmp(place->from, from) != 0 || now(door) - place->first_ns > guess_ns) {
        *place = (struct guesser){.first_ns = now(door)};
        snprintf(place->from, sizeof place->from, "%s", from);
    }
    place->last_ns = now(door);
    return place;
}

/* Under the lock. When all are taken, that of a reader that was longest unused gives way, then that of an operator. */
static void new_session(struct door *door, enum http_role role, const char *from, char ret_token[static DOOR_TOKEN])
{
    struct session *place = &door->sessions[0];
    for (size_t k = 0; k < DOOR_SESSIONS && place->token[0] != '\0'; k++)
        if (door->sessions[k].token[0] == '\0' || door->sessions[k].role < place->role ||
            (door->sessions[k].role == place->role && door->sessions[k].used_ns < place->used_ns))
            place = &door->sessions[k];
    *place = (struct session){.role = role, .used_ns = now(door)};
    snprintf(place->from, sizeof place->from, "%s", from);
    random_letters(code_letters, place->name, 8);
    random_letters(token_letters, place->token, DOOR_TOKEN - 1);
    memcpy(ret_token, place->token, DOOR_TOKEN);
}

/* Under the lock. Every code is compared whole, whatever matched before. */
static enum http_role role_of_code(const struct door *door, const char *code)
{
    char whole[DOOR_CODE] = "";
    enum http_role role = HTTP_ANYONE;
    snprintf(whole, sizeof whole, "%s", code);
    for (int k = HTTP_READER; k <= HTTP_OPERATOR; k++)
        if (same(whole, door->codes[k], DOOR_CODE) && strlen(code) == DOOR_CODE - 1)
            role = (enum http_role)k;
    return role;
}

static enum status refuse(int wrong, struct message *message)
{
    if (wrong > GUESSES) {
        status_fail(message, STATUS_AMBIGUOUS, "too many wrong codes came from this address");
        return status_remedy(message, "wait 10 minutes, then type the code as the computer at the bench prints it");
    }
    status_fail(message, STATUS_USAGE, "this code opens nothing");
    return status_remedy(message, "type it as the computer at the bench prints it: eight letters and digits, with no "
                                  "0, O, 1, I, L or U among them; a code printed before the last start is over");
}

enum status door_pair(struct door *door, const char *from, const char *code, char ret_token[static DOOR_TOKEN],
                      enum http_role *ret_role, struct message *message)
{
    pthread_mutex_lock(&door->lock);
    struct guesser *guesser = guesser_of(door, from);
    int wrong = ++guesser->wrong; /* counted before it is judged: guesses side by side are counted too */
    enum http_role role = wrong <= GUESSES ? role_of_code(door, code) : HTTP_ANYONE;
    if (role != HTTP_ANYONE) {
        *guesser = (struct guesser){0};
        new_session(door, role, from, ret_token);
        *ret_role = role;
    } else if (wrong == GUESSES + 1) {
        guesser->first_ns = now(door); /* refused for the whole time from now */
    }
    pthread_mutex_unlock(&door->lock);
    if (role != HTTP_ANYONE)
        return STATUS_OK;
    door->clock.wait_ns(door->clock.context, now(door) + slow_ns * (wrong < GUESSES ? wrong : GUESSES));
    return refuse(wrong, message);
}

/* Under the lock. All are compared. */
static struct session *session_of(struct door *door, const char *token)
{
    char whole[DOOR_TOKEN] = "";
    struct session *found = NULL;
    snprintf(whole, sizeof whole, "%s", token);
    for (size_t k = 0; k < DOOR_SESSIONS; k++) {
        struct session *one = &door->sessions[k];
        if (one->token[0] != '\0' && now(door) - one->used_ns > unused_ns)
            explicit_bzero(one, sizeof *one);
        if (same(whole, one->token, DOOR_TOKEN) && strlen(token) == DOOR_TOKEN - 1)
            found = one;
    }
    return found;
}

enum http_role door_role(struct door *door, const char *token)
{
    pthread_mutex_lock(&door->lock);
    struct session *session = session_of(door, token);
    enum http_role role = session != NULL ? session->role : HTTP_ANYONE;
    if (session != NULL)
        session->used_ns = now(door);
    pthread_mutex_unlock(&door->lock);
    return role;
}

size_t door_sessions(struct door *door, struct door_session ret_sessions[static DOOR_SESSIONS])
{
    size_t count = 0;
    pthread_mutex_lock(&door->lock);
    session_of(door, ""); /* drops those that are over */
    for (size_t k = 0; k < DOOR_SESSIONS; k++) {
        const struct session *one = &door->sessions[k];
        if (one->token[0] == '\0')
            continue;
        struct door_session *shown = &ret_sessions[count++];
        *shown = (struct door_session){.role = one->role, .unused_s = (double)(now(door) - one->used_ns) * 1e-9};
        memcpy(shown->name, one->name, sizeof shown->name);
        memcpy(shown->from, one->from, sizeof shown->from);
    }
    pthread_mutex_unlock(&door->lock);
    return count;
}

void door_end(struct door *door, const char *name)
{
    pthread_mutex_lock(&door->lock);
    for (size_t k = 0; k < DOOR_SESSIONS; k++)
        if (door->sessions[k].token[0] != '\0' && strcmp(door->sessions[k].name, name) == 0)
            explicit_bzero(&door->sessions[k], sizeof door->sessions[k]);
    pthread_mutex_unlock(&door->lock);
}

void door_end_token(struct door *door, const char *token)
{
    pthread_mutex_lock(&door->lock);
    struct session *session = session_of(door, token);
    if (session != NULL)
        explicit_bzero(session, sizeof *session);
    pthread_mutex_unlock(&door->lock);
}
