package org.whinograph.report;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.core.StreamWriteFeature;
import com.fasterxml.jackson.core.util.DefaultIndenter;
import com.fasterxml.jackson.core.util.DefaultPrettyPrinter;
import java.io.IOException;
import java.io.OutputStream;
import org.whinograph.quantity.Reading;

/**
 * Writes JSON that never holds NaN: a number is finite, or null because its reading says unknown.
 *
 * <p>For use by one thread.
 */
final class JsonWriter implements AutoCloseable {
  private static final JsonFactory FACTORY =
      JsonFactory.builder().disable(StreamWriteFeature.AUTO_CLOSE_TARGET).build();

  private final JsonGenerator json;

  JsonWriter(OutputStream out) throws IOException {
    DefaultIndenter indenter = new DefaultIndenter("  ", "\n");
    json = FACTORY.createGenerator(out);
    json.setPrettyPrinter(
        new DefaultPrettyPrinter().withObjectIndenter(indenter).withArrayIndenter(indenter));
  }

  void beginObject() throws IOException {
    json.writeStartObject();
  }

  void beginObject(String name) throws IOException {
    json.writeObjectFieldStart(name);
  }

  void endObject() throws IOException {
    json.writeEndObject();
  }

  void beginArray() throws IOException {
    json.writeStartArray();
  }

  void beginArray(String name) throws IOException {
    json.writeArrayFieldStart(name);
  }

  void endArray() throws IOException {
    json.writeEndArray();
  }

  void text(String name, String value) throws IOException {
    json.writeFieldName(name);
    json.writeString(value);
  }

  /** An element of an array. */
  void element(Reading reading) throws IOException {
    if (reading.known()) {
      json.writeNumber(reading.value());
    } else {
      json.writeNull();
    }
  }

  /** An element of an array that stands for nothing. */
  void nothing() throws IOException {
    json.writeNull();
  }

  void texts(String name, Iterable<String> values) throws IOException {
    beginArray(name);
    for (String value : values) {
      json.writeString(value);
    }
    endArray();
  }

  void flag(String name, Boolean value) throws IOException {
    json.writeFieldName(name);
    if (value == null) {
      json.writeNull();
    } else {
      json.writeBoolean(value);
    }
  }

  void whole(String name, long value) throws IOException {
    json.writeNumberField(name, value);
  }

  void nothing(String name) throws IOException {
    json.writeNullField(name);
  }

  void number(String name, Reading reading) throws IOException {
    if (reading.known()) {
      number(name, reading.value());
    } else {
      nothing(name);
    }
  }

  /** A number, or null. */
  void numberOrNull(String name, Double value) throws IOException {
    if (value == null) {
      nothing(name);
    } else {
      number(name, value.doubleValue());
    }
  }

  /** An array of numbers on one line; what isn't known, NaN, becomes null. */
  void numbers(String name, double[] values) throws IOException {
    StringBuilder text = new StringBuilder("[");
    for (double value : values) {
      text.append(text.length() == 1 ? "" : ", ");
      if (Double.isNaN(value)) {
        text.append("null");
      } else {
        text.append(value);
      }
    }
    json.writeFieldName(name);
    json.writeRawValue(text.append(']').toString());
  }

  /** Writes a double with full precision, a whole one without a fraction. */
  void number(String name, double value) throws IOException {
    if (!Double.isFinite(value)) {
      throw new IllegalArgumentException(name + ": a number in a file is finite, got " + value);
    }
    if (value == Math.rint(value) && Math.abs(value) < 1e15) {
      json.writeNumberField(name, (long) value);
    } else {
      json.writeNumberField(name, value);
    }
  }

  @Override
  public void close() throws IOException {
    json.writeRaw('\n');
    json.close();
  }
}
