#include "fault/storage.h"

#include "base/memory.h"
#include "base/text.h"

#include <errno.h>
#include <sqlite3.h>

const char storage_name[] = "failing storage";

enum { FILES = 32 };
enum kind { HELD, WRITTEN, TRUNCATED, SYNCED, DELETED };

struct operation {
    enum kind kind;
    int file;
    sqlite3_int64 offset; /* TRUNCATED: the new size */
    int count;
    unsigned char *bytes;
};

static struct {
    bool recording;
    char *names[FILES]; /* without their folder */
    bool known[FILES];  /* what it held at first is recorded */
    int file_count;
    struct operation *operations;
    size_t count, capacity;
    enum storage_fault fault;
    long fail_in, fail_times, failed;
} storage;

struct file {
    sqlite3_file base;
    int index;
    sqlite3_file *real;
};

static sqlite3_vfs *machine(void)
{
    return sqlite3_vfs_find("unix");
}

static sqlite3_file *real_of(sqlite3_file *file)
{
    return ((struct file *)file)->real;
}

static int find_file(const char *path)
{
    const char *slash = strrchr(path, '/'), *name = slash != NULL ? slash + 1 : path;
    for (int k = 0; k < storage.file_count; k++)
        if (strcmp(storage.names[k], name) == 0)
            return k;
    if (storage.file_count == FILES)
        abort();
    storage.names[storage.file_count] = memory_copy_string(name);
    return storage.file_count++;
}

static void record(enum kind kind, int file, sqlite3_int64 offset, const void *bytes, int count)
{
    if (!storage.recording || file < 0)
        return;
    storage.operations = memory_grow(storage.operations, storage.count, &storage.capacity);
    struct operation *one = &storage.operations[storage.count++];
    *one = (struct operation){kind, file, offset, count, NULL};
    if (count > 0)
        one->bytes = memcpy(memory_get((size_t)count), bytes, (size_t)count);
}

/* What a file holds when it is opened first: it held that before anything was recorded. */
static void record_first(int file, const char *path)
{
    struct text text = TEXT_EMPTY;
    if (!storage.recording || file < 0 || storage.known[file])
        return;
    storage.known[file] = true;
    if (text_read_file(path, (size_t)1 << 28, &text) == 0)
        record(HELD, file, 0, text_string(&text), (int)text.length);
    text_free(&text);
}

static bool fails(enum storage_fault one, enum storage_fault other)
{
    if (storage.fault == STORAGE_SOUND || (storage.fault != one && storage.fault != other))
        return false;
    bool now = --storage.fail_in <= 0 && storage.fail_times > 0;
    storage.fail_times -= now;
    storage.failed += now;
    return now;
}

static int do_close(sqlite3_file *file)
{
    int code = real_of(file)->pMethods != NULL ? real_of(file)->pMethods->xClose(real_of(file)) : SQLITE_OK;
    free(real_of(file));
    return code;
}

static int do_read(sqlite3_file *file, void *bytes, int count, sqlite3_int64 offset)
{
    return real_of(file)->pMethods->xRead(real_of(file), bytes, count, offset);
}

static int do_write(sqlite3_file *file, const void *bytes, int count, sqlite3_int64 offset)
{
    if (fails(STORAGE_FULL, STORAGE_BAD_WRITE))
        return storage.fault == STORAGE_FULL ? SQLITE_FULL : SQLITE_IOERR_WRITE;
    int code = real_of(file)->pMethods->xWrite(real_of(file), bytes, count, offset);
    record(WRITTEN, ((struct file *)file)->index, offset, bytes, count);
    return code;
}

static int do_truncate(sqlite3_file *file, sqlite3_int64 size)
{
    record(TRUNCATED, ((struct file *)file)->index, size, NULL, 0);
    return real_of(file)->pMethods->xTruncate(real_of(file), size);
}

static int do_sync(sqlite3_file *file, int flags)
{
    if (fails(STORAGE_BAD_SYNC, STORAGE_BAD_SYNC))
        return SQLITE_IOERR_FSYNC;
    record(SYNCED, ((struct file *)file)->index, 0, NULL, 0);
    return SQLITE_OK; /* nothing reaches a real disk in these tests */
}

static int do_size(sqlite3_file *file, sqlite3_int64 *size)
{
    return real_of(file)->pMethods->xFileSize(real_of(file), size);
}

static int do_lock(sqlite3_file *file, int level)
{
    return real_of(file)->pMethods->xLock(real_of(file), level);
}

static int do_unlock(sqlite3_file *file, int level)
{
    return real_of(file)->pMethods->xUnlock(real_of(file), level);
}

static int do_reserved(sqlite3_file *file, int *held)
{
    return real_of(file)->pMethods->xCheckReservedLock(real_of(file), held);
}

static int do_control(sqlite3_file *file, int what, void *argument)
{
    return real_of(file)->pMethods->xFileControl(real_of(file), what, argument);
}

static int do_sector(sqlite3_file *file)
{
    return real_of(file)->pMethods->xSectorSize(real_of(file));
}

static int do_traits(sqlite3_file *file)
{
    return real_of(file)->pMethods->xDeviceCharacteristics(real_of(file));
}

static int do_shm_map(sqlite3_file *file, int page, int size, int extend, void volatile **where)
{
    if (extend && fails(STORAGE_FULL, STORAGE_FULL)) {
        errno = ENOSPC;
        return SQLITE_IOERR_SHMSIZE;
    }
    return real_of(file)->pMethods->xShmMap(real_of(file), page, size, extend, where);
}

static int do_shm_lock(sqlite3_file *file, int offset, int count, int flags)
{
    return real_of(file)->pMethods->xShmLock(real_of(file), offset, count, flags);
}

static void do_shm_barrier(sqlite3_file *file)
{
    real_of(file)->pMethods->xShmBarrier(real_of(file));
}

static int do_shm_unmap(sqlite3_file *file, int remove)
{
    return real_of(file)->pMethods->xShmUnmap(real_of(file), remove);
}

static const sqlite3_io_methods methods = {
    2, do_close, do_read, do_write, do_truncate, do_sync, do_size, do_lock, do_unlock, do_reserved, do_control,
    do_sector, do_traits, do_shm_map, do_shm_lock, do_shm_barrier, do_shm_unmap, NULL, NULL,
};

static int do_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *ret_flags)
{
    struct file *own = (struct file *)file;
    own->index = name != NULL ? find_file(name) : -1;
    own->real = memory_get((size_t)machine()->szOsFile);
    if (name != NULL)
        record_first(own->index, name);
    int code = machine()->xOpen(machine(), name, own->real, flags, ret_flags);
    own->base.pMethods = code == SQLITE_OK ? &methods : NULL;
    if (code != SQLITE_OK)
        free(own->real);
    return code;
}

static int do_delete(sqlite3_vfs *vfs, const char *name, int sync)
{
    int code = machine()->xDelete(machine(), name, 0);
    if (code == SQLITE_OK)
        record(DELETED, find_file(name), 0, NULL, 0);
    if (code == SQLITE_OK && sync)
        record(SYNCED, find_file(name), 0, NULL, 0);
    return code;
}

void storage_register(void)
{
    static sqlite3_vfs vfs;
    vfs = *machine();
    vfs.szOsFile = sizeof(struct file);
    vfs.zName = storage_name;
    vfs.pNext = NULL;
    vfs.xOpen = do_open;
    vfs.xDelete = do_delete;
    sqlite3_vfs_register(&vfs, 0);
}

void storage_fail(enum storage_fault fault, long at, long times)
{
    storage.fault = fault;
    storage.fail_in = at;
    storage.fail_times = times;
    storage.failed = 0;
}

long storage_failed(void)
{
    return storage.failed;
}

void storage_record(bool on)
{
    for (size_t k = 0; on && k < storage.count; k++)
        free(storage.operations[k].bytes);
    if (on)
        storage.count = 0;
    memset(storage.known, 0, sizeof storage.known);
    storage.recording = on;
}

long storage_operations(void)
{
    return (long)storage.count;
}

struct image {
    bool there;
    unsigned char *bytes;
    size_t size, capacity;
};

static void image_resize(struct image *image, size_t size)
{
    if (size > image->capacity) {
        image->bytes = memory_resize(image->bytes, size * 2, 1);
        image->capacity = size * 2;
    }
    if (size > image->size)
        memset(image->bytes + image->size, 0, size - image->size);
    image->size = size;
}

static void image_free(struct image *image)
{
    free(image->bytes);
    *image = (struct image){0};
}

static void apply(struct image *image, const struct operation *one)
{
    size_t end = (size_t)one->offset + (size_t)one->count;
    image->there = one->kind != DELETED;
    if (one->kind == WRITTEN || one->kind == HELD) {
        image_resize(image, end > image->size ? end : image->size);
        if (one->count > 0)
            memcpy(image->bytes + one->offset, one->bytes, (size_t)one->count);
    } else {
        image_resize(image, (size_t)one->offset); /* 0 when deleted */
    }
}

/* SplitMix64 (Steele, Lea, Flood, OOPSLA 2014). */
static uint64_t next_random(uint64_t *state)
{
    uint64_t z = *state += 0x9E3779B97F4A7C15u;
    z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9u;
    z = (z ^ z >> 27) * 0x94D049BB133111EBu;
    return z ^ z >> 31;
}

/* One sector of an unsynced write: what of it reached the disk. */
static void apply_sector(struct image *image, const struct operation *one, size_t from, size_t to, size_t sector,
                         uint64_t *random)
{
    enum { KEEP = 5, DROP = 9, TEAR = 10 }; /* of 12; the rest is noise */
    uint64_t fate = next_random(random) % 12;
    if (fate >= KEEP && fate < DROP)
        return;
    image_resize(image, to > image->size ? to : image->size);
    size_t whole = fate == DROP ? (size_t)(next_random(random) % (to - from)) : to - from;
    memcpy(image->bytes + from, one->bytes + (from - (size_t)one->offset), whole);
    size_t start = from / sector * sector, end = start + sector < image->size ? start + sector : image->size;
    for (size_t k = start; fate >= TEAR && k < end; k++)
        image->bytes[k] = (unsigned char)next_random(random);
}

static void apply_in_part(struct image *image, const struct operation *one, size_t sector, uint64_t *random)
{
    if (one->kind != WRITTEN) {
        if (next_random(random) % 2 == 0)
            apply(image, one);
        return;
    }
    image->there = image->there || next_random(random) % 2 == 0;
    size_t at = (size_t)one->offset, end = at + (size_t)one->count;
    while (at < end) {
        size_t next = (at / sector + 1) * sector < end ? (at / sector + 1) * sector : end;
        apply_sector(image, one, at, next, sector, random);
        at = next;
    }
}

static void save(const struct image *image, const char *folder, const char *name)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    remove(path);
    FILE *file = image->there ? fopen(path, "wb") : NULL;
    if (file == NULL)
        return;
    if (image->size > 0 && fwrite(image->bytes, 1, image->size, file) != image->size)
        abort();
    fclose(file);
}

static void find_image(int file, long operations, uint64_t *random, size_t sector, struct image *image)
{
    long synced = 0;
    for (long k = 0; k < operations; k++)
        if (storage.operations[k].file == file && storage.operations[k].kind == SYNCED)
            synced = k;
    for (size_t k = 0; k < storage.count; k++)
        if (storage.operations[k].file == file && storage.operations[k].kind == HELD)
            apply(image, &storage.operations[k]);
    for (long k = 0; k < operations; k++) {
        const struct operation *one = &storage.operations[k];
        if (one->file != file || one->kind == SYNCED || one->kind == HELD)
            continue;
        if (k < synced)
            apply(image, one);
        else
            apply_in_part(image, one, sector, random);
    }
}

void storage_power_loss(long operations, uint64_t seed, int sector, const char *folder)
{
    for (int file = 0; file < storage.file_count; file++) {
        struct image image = {0};
        find_image(file, operations, &seed, (size_t)sector, &image);
        save(&image, folder, storage.names[file]);
        image_free(&image);
    }
}
