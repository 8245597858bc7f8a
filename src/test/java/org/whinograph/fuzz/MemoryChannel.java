package org.whinograph.fuzz;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.ClosedChannelException;
import java.nio.channels.NonWritableChannelException;
import java.nio.channels.SeekableByteChannel;

/** A file in memory that counts what is read of it, so that a test can bound the work. */
public final class MemoryChannel implements SeekableByteChannel {
  private final byte[] bytes;
  private long position;
  private long bytesRead;
  private long reads;
  private boolean open = true;

  public MemoryChannel(byte[] bytes) {
    this.bytes = bytes;
  }

  /** Bytes handed out so far. */
  public long bytesRead() {
    return bytesRead;
  }

  /** Calls of read so far. */
  public long reads() {
    return reads;
  }

  @Override
  public int read(ByteBuffer target) throws IOException {
    if (!open) {
      throw new ClosedChannelException();
    }
    reads++;
    if (position >= bytes.length) {
      return -1;
    }
    int count = (int) Math.min(target.remaining(), bytes.length - position);
    target.put(bytes, (int) position, count);
    position += count;
    bytesRead += count;
    return count;
  }

  @Override
  public int write(ByteBuffer source) {
    throw new NonWritableChannelException();
  }

  @Override
  public long position() {
    return position;
  }

  @Override
  public SeekableByteChannel position(long newPosition) {
    if (newPosition < 0) {
      throw new IllegalArgumentException("newPosition: at least 0, got " + newPosition);
    }
    position = newPosition;
    return this;
  }

  @Override
  public long size() {
    return bytes.length;
  }

  @Override
  public SeekableByteChannel truncate(long size) {
    throw new NonWritableChannelException();
  }

  @Override
  public boolean isOpen() {
    return open;
  }

  @Override
  public void close() {
    open = false;
  }
}
